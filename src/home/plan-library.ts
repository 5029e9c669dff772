import { readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { loadPlan, type PlanRead } from './load-plan.js';

/** src/home and dist/home are equally deep, so the plans are found from either. */
const folder = fileURLToPath(new URL('../../config/plans/', import.meta.url));

/** Names of the plans that come with the service, without `library:`, sorted. */
export function libraryPlans(): readonly string[] {
  return readdirSync(folder)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => name.slice(0, -'.yaml'.length))
    .sort();
}

/** One plan of the library, read and checked.
 *  @param name  one of `libraryPlans()` */
export function loadLibraryPlan(name: string): PlanRead {
  return loadPlan(`library:${name}`, `${folder}${name}.yaml`);
}
