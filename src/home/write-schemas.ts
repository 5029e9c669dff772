import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { schemaFiles, schemaFolder } from './schemas.js';

/** Writes config/schema, or with --check says which files there differ. */
function writeSchemas(isCheck: boolean): number {
  const stale: string[] = [];
  mkdirSync(schemaFolder, { recursive: true });
  for (const [name, text] of schemaFiles()) {
    const file = join(schemaFolder, name);
    if (readText(file) === text) continue;
    stale.push(name);
    if (!isCheck) writeFileSync(file, text);
  }
  for (const name of stale) {
    process.stdout.write(`config/schema/${name} ${isCheck ? 'is stale; run: npm run schemas' : 'written'}\n`);
  }
  return isCheck && stale.length > 0 ? 1 : 0;
}

function readText(file: string): string | null {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return null;
  }
}

process.exitCode = writeSchemas(process.argv.includes('--check'));
