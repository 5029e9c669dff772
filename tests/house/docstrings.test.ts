import ts from 'typescript';
import { expect, test } from 'vitest';
import { folderOf, parse, placeOf, sourcePaths } from './source-program.js';

/** The folders without an outside, whose functions are meant to be understood without reading their bodies. */
const pureFolders = [
  'domain',
  'maths',
  'hours',
  'forecast',
  'visits',
  'inspection',
  'sheet',
  'reminders',
  'outlook',
  'words',
  'charts',
  'formats',
];
/** Fewer characters say nothing that the name does not say. */
const shortestDoc = 12;

/** The rule: every export of a pure folder has a docstring that ends on the line above it. Interfaces and type aliases may go
 *  without only where every one of their members has a docstring of its own. What is passed on from another file has it there. */
function undocumented(file: ts.SourceFile): readonly string[] {
  return file.statements.flatMap((statement) => {
    if (!isExported(statement)) return [];
    if (hasDoc(statement) || (isShape(statement) && everyMemberHasDoc(statement))) return [];
    return [`${placeOf(statement)} ${nameOf(statement)}`];
  });
}

function isExported(statement: ts.Statement): boolean {
  if (ts.isExportAssignment(statement)) return true;
  const flags = ts.canHaveModifiers(statement) ? ts.getModifiers(statement) : undefined;
  return (flags ?? []).some(({ kind }) => kind === ts.SyntaxKind.ExportKeyword);
}

function hasDoc(node: ts.Node): boolean {
  const file = node.getSourceFile();
  const doc = ts.getJSDocCommentsAndTags(node).filter(ts.isJSDoc).at(-1);
  if (doc === undefined) return false;
  const between = file.text.slice(doc.end, node.getStart());
  return between.split('\n').length === 2 && words(doc).length >= shortestDoc;
}

/** What the comment says, without its frame. */
function words(doc: ts.JSDoc): string {
  return doc
    .getText()
    .replace(/^\/\*\*|\*\/$/g, '')
    .replace(/^\s*\*\s?/gm, '')
    .trim();
}

function isShape(statement: ts.Statement): statement is ts.InterfaceDeclaration | ts.TypeAliasDeclaration {
  return ts.isInterfaceDeclaration(statement) || ts.isTypeAliasDeclaration(statement);
}

function everyMemberHasDoc(shape: ts.InterfaceDeclaration | ts.TypeAliasDeclaration): boolean {
  const members = membersOf(shape);
  return members.length > 0 && members.every(hasDoc);
}

function membersOf(shape: ts.InterfaceDeclaration | ts.TypeAliasDeclaration): readonly ts.Node[] {
  if (ts.isInterfaceDeclaration(shape)) return shape.members;
  if (ts.isUnionTypeNode(shape.type)) return shape.type.types;
  return ts.isTypeLiteralNode(shape.type) ? shape.type.members : [];
}

function nameOf(statement: ts.Statement): string {
  if (ts.isVariableStatement(statement))
    return statement.declarationList.declarations.map((one) => one.name.getText()).join();
  if (ts.isFunctionDeclaration(statement) || ts.isClassDeclaration(statement) || isShape(statement))
    return statement.name?.text ?? 'default';
  return statement.getText().slice(0, 40);
}

test.each(pureFolders)('every export of %s says above it what it is', (folder) => {
  const paths = sourcePaths().filter((path) => folderOf(path) === folder);
  expect(paths.length).toBeGreaterThan(0);
  expect(paths.flatMap((path) => undocumented(parse(path)))).toEqual([]);
});

test('every function that the other folders give away says what it does', () => {
  const paths = sourcePaths().filter((path) => !pureFolders.includes(folderOf(path)));
  expect(paths.length).toBeGreaterThan(200);
  const bare = paths.flatMap((path) =>
    parse(path).statements.filter((one) => ts.isFunctionDeclaration(one) && isExported(one) && !hasDoc(one)),
  );
  expect(bare.map((one) => `${placeOf(one)} ${nameOf(one)}`)).toEqual([]);
});

test('the rule sees an export without a docstring, with a distant one, and with an empty one', () => {
  const code = [
    'export function bare(): void {}',
    '/** Something that belongs to nothing. */',
    '',
    'export const distant = 1;',
    '/** . */',
    'export class Empty {}',
    'export interface Half {',
    '  /** It is explained. */',
    '  readonly one: number;',
    '  readonly other: number;',
    '}',
    '/** It says what it is. */',
    'export const told = 1;',
    'const own = 1;',
    'export interface Members {',
    '  /** It is explained. */',
    '  readonly one: number;',
    '}',
  ].join('\n');
  const file = ts.createSourceFile('planted.ts', code, ts.ScriptTarget.ES2022, true);
  const names = undocumented(file).map((line) => line.split(' ').at(-1));
  expect(names).toEqual(['bare', 'distant', 'Empty', 'Half']);
});
