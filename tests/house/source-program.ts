import { readdirSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

/** The top of the project. */
export const root = fileURLToPath(new URL('../..', import.meta.url));

/** Every file of src that is no test, as a path from the top with slashes. */
export function sourcePaths(): readonly string[] {
  return readdirSync(join(root, 'src'), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name) && !/\.test\.tsx?$/.test(entry.name))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .sort();
}

/** The folder of src that a path lies in: `src/hours/at.ts` is of `hours`, `src/main.ts` of `main.ts`. */
export function folderOf(path: string): string {
  return path.split('/')[1] ?? '';
}

/** One file read for its syntax alone. */
export function parse(path: string): ts.SourceFile {
  const text = ts.sys.readFile(join(root, path)) ?? '';
  return ts.createSourceFile(path, text, ts.ScriptTarget.ES2022, true);
}

/** The whole of src as the compiler sees it, with types. */
export function compile(): { readonly checker: ts.TypeChecker; readonly files: readonly ts.SourceFile[] } {
  const configPath = join(root, 'tsconfig.json');
  const { config } = ts.readConfigFile(configPath, ts.sys.readFile);
  const { fileNames, options } = ts.parseJsonConfigFileContent(config, ts.sys, dirname(configPath));
  const program = ts.createProgram(fileNames, { ...options, noEmit: true });
  const own = new Set(fileNames);
  return {
    checker: program.getTypeChecker(),
    files: program.getSourceFiles().filter((file) => own.has(file.fileName)),
  };
}

/** Where a node stands, as an editor opens it. */
export function placeOf(node: ts.Node): string {
  const file = node.getSourceFile();
  const { line } = file.getLineAndCharacterOfPosition(node.getStart());
  const path = file.fileName.startsWith(root) ? relative(root, file.fileName) : file.fileName;
  return `${path}:${line + 1}`;
}
