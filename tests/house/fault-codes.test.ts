import ts from 'typescript';
import { expect, test } from 'vitest';
import { compile, folderOf, placeOf, root } from './source-program.js';

const { checker, files } = compile();
const codeShape = /^[a-z]+(-[a-z]+)+$/;

/** Folders that may also raise the codes of another: what they do in its stead needs no name of its own. */
const borrows: Readonly<Record<string, string>> = { cli: 'daemon', rehearsal: 'daemon' };

interface Place {
  readonly folder: string;
  readonly code: string;
  readonly at: string;
}

function pathOf(file: ts.SourceFile): string {
  return file.fileName.slice(root.length);
}

function nodesOf(file: ts.SourceFile): readonly ts.Node[] {
  const nodes: ts.Node[] = [];
  const visit = (node: ts.Node) => {
    nodes.push(node);
    ts.forEachChild(node, visit);
  };
  visit(file);
  return nodes;
}

/** The lists of a folder's errors.ts: objects and types named after errors, faults or codes. */
function listsIn(file: ts.SourceFile): readonly ts.Node[] {
  if (!/^src\/[a-z]+\/errors\.ts$/.test(pathOf(file))) return [];
  return nodesOf(file).filter(
    (node) =>
      (ts.isVariableDeclaration(node) || ts.isTypeAliasDeclaration(node)) &&
      /(Errors|Faults|Codes|FaultCode)$/.test(node.name.getText()),
  );
}

/** Every code of a list with the words that say when it is raised: its own value, or the comment above it. */
function codesIn(list: ts.Node): readonly { readonly code: string; readonly when: string; readonly node: ts.Node }[] {
  const found: { code: string; when: string; node: ts.Node }[] = [];
  const visit = (node: ts.Node) => {
    if (ts.isPropertyAssignment(node) && ts.isStringLiteral(node.initializer)) {
      const name = ts.isStringLiteral(node.name) ? node.name.text : '';
      const value = node.initializer.text;
      if (codeShape.test(name)) found.push({ code: name, when: value, node });
      else found.push({ code: value, when: commentAbove(node), node });
      return;
    }
    if (ts.isLiteralTypeNode(node) && ts.isStringLiteral(node.literal))
      found.push({ code: node.literal.text, when: commentAbove(node), node });
    ts.forEachChild(node, visit);
  };
  visit(list);
  return found;
}

function commentAbove(node: ts.Node): string {
  const file = node.getSourceFile();
  const before = file.text.slice(node.getFullStart(), node.getStart());
  // In a type, the bar stands between the comment and the code.
  const earlier = file.text.slice(Math.max(0, node.getFullStart() - 300), node.getStart());
  const comment =
    /\/\*\*(?:(?!\*\/)[\s\S])*\*\/\s*\|?\s*$/.exec(before) ?? /\/\*\*(?:(?!\*\/)[\s\S])*\*\/\s*\|?\s*$/.exec(earlier);
  return comment?.[0] ?? '';
}

const listed: Place[] = files.flatMap((file) =>
  listsIn(file).flatMap((list) =>
    codesIn(list).map(({ code, node }) => ({ folder: folderOf(pathOf(file)), code, at: placeOf(node) })),
  ),
);

/** The codes that an expression can be: both arms of a choice, a constant, a member of a list. */
function valuesOf(expression: ts.Expression): readonly string[] {
  if (ts.isConditionalExpression(expression))
    return [...valuesOf(expression.whenTrue), ...valuesOf(expression.whenFalse)];
  if (ts.isStringLiteralLike(expression)) return [expression.text];
  const type = checker.getTypeAtLocation(expression);
  const types = type.isUnion() ? type.types : [type];
  return types.flatMap((one) => (one.isStringLiteral() ? [one.value] : []));
}

/** Whether an object is handed on as a fault: what takes it wants a code and a remedy. */
function isFault(object: ts.ObjectLiteralExpression): boolean {
  const wanted = checker.getContextualType(object);
  if (wanted === undefined) return false;
  return ['code', 'remedy'].every((name) => checker.getPropertyOfType(wanted, name) !== undefined);
}

/** Every place where a code is put into a fault: `code:` of a fault, or an argument whose parameter is called code. */
const raised: Place[] = files.flatMap((file) => {
  const folder = folderOf(pathOf(file));
  return nodesOf(file).flatMap((node): Place[] => {
    if (ts.isPropertyAssignment(node) && node.name.getText() === 'code' && isFault(node.parent)) {
      return valuesOf(node.initializer).map((code) => ({ folder, code, at: placeOf(node) }));
    }
    if (!ts.isCallExpression(node)) return [];
    const parameters = checker.getResolvedSignature(node)?.parameters ?? [];
    return parameters.flatMap((parameter, i) => {
      const given = node.arguments[i];
      if (parameter.name !== 'code' || given === undefined || !ts.isStringLiteral(given)) return [];
      return [{ folder, code: given.text, at: placeOf(given) }];
    });
  });
});

function isListed({ folder, code }: Place): boolean {
  const folders = [folder, 'domain', borrows[folder] ?? folder];
  return listed.some((one) => one.code === code && folders.includes(one.folder));
}

/** Texts of a folder's code outside its lists, and the members of lists that it names: a listed code must be one of them. */
function spokenIn(folder: string): ReadonlySet<string> {
  const own = files.filter((file) => folderOf(pathOf(file)) === folder);
  return new Set(
    own.flatMap((file) => {
      const lists = new Set(listsIn(file));
      const inList = (node: ts.Node | undefined): boolean =>
        node !== undefined && (lists.has(node) || inList(node.parent));
      return nodesOf(file).flatMap((node) => {
        if (inList(node)) return [];
        if (ts.isStringLiteral(node) && !(ts.isPropertyAssignment(node.parent) && node.parent.name === node))
          return [node.text];
        return ts.isPropertyAccessExpression(node) ? valuesOf(node) : [];
      });
    }),
  );
}

test('the search sees what is raised in every way that the code knows', () => {
  const seen = (code: string, folder: string) => raised.some((one) => one.code === code && one.folder === folder);
  expect(raised.length).toBeGreaterThan(100);
  expect(seen('day-unreadable', 'domain')).toBe(true);
  expect(seen('port-busy', 'daemon')).toBe(true);
  expect(seen('page-not-served', 'daemon')).toBe(true);
  expect(seen('no-tasks', 'ledger')).toBe(true);
  expect(seen('topic-unfit', 'broker')).toBe(true);
  expect(seen('visit-unknown', 'pages')).toBe(true);
});

test('every code that is raised stands in the list of its folder, or in that of the domain', () => {
  const unlisted = raised.filter((one) => !isListed(one));
  expect(unlisted.map(({ code, at }) => `${at} ${code}`)).toEqual([]);
});

test('every code that is listed is raised', () => {
  const spoken = new Map([...new Set(listed.map((one) => one.folder))].map((folder) => [folder, spokenIn(folder)]));
  const silent = listed.filter(({ folder, code }) => spoken.get(folder)?.has(code) !== true);
  expect(silent.map(({ code, at }) => `${at} ${code}`)).toEqual([]);
});

test('every list says of each code when it is raised, once', () => {
  const entries = files.flatMap((file) => listsIn(file).flatMap(codesIn));
  expect(entries.length).toBeGreaterThan(80);
  expect(
    entries.filter(({ code }) => !codeShape.test(code)).map(({ node, code }) => `${placeOf(node)} ${code}`),
  ).toEqual([]);
  expect(entries.filter(({ when }) => when.length < 15).map(({ node, code }) => `${placeOf(node)} ${code}`)).toEqual(
    [],
  );
  const twice = listed.filter(
    (one, i) => listed.findIndex((two) => two.folder === one.folder && two.code === one.code) !== i,
  );
  expect(twice).toEqual([]);
});
