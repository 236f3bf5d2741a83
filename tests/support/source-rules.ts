import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative, sep } from 'node:path';
import ts from 'typescript';

/** What the files of one folder (or one file) may use. */
export interface Rule {
  /** Other folders or files, as their first name below the root. */
  readonly may: readonly string[];
  /** Packages, and the only files that may import each; `*` for every file of the folder. */
  readonly packages?: Readonly<Record<string, readonly string[]>>;
  readonly runsIn: 'anywhere' | 'Node' | 'browser';
}

/** A single file that may use more than its folder. */
export type Exceptions = Readonly<Record<string, readonly string[]>>;

const NODE_GLOBALS = ['process', 'Buffer', 'require', '__dirname', '__filename', 'setImmediate'];
const BROWSER_GLOBALS = ['window', 'document', 'localStorage', 'alert'];
/** Output and chance: a library call prints nothing, and the same input gives the same bytes. */
const NEVER_ANYWHERE = ['console', 'Date'];
const NEVER_MEMBERS: Readonly<Record<string, readonly string[]>> = { Math: ['random', 'hypot'] };

/** Every breach of the rules below `root`, as `file: what`; files in an order of their own. */
export function ruleBreaches(
  root: string,
  rules: Readonly<Record<string, Rule>>,
  exceptions: Exceptions = {},
): string[] {
  return sourceFiles(root).flatMap((file) => {
    const name = relative(root, file).split(sep).join('/');
    const unit = unitOf(name);
    const rule = rules[unit];
    if (rule === undefined) return [`${name}: no rule for ${unit}`];
    const text = readFileSync(file, 'utf8');
    const may = [...rule.may, ...(exceptions[name] ?? []), unit];
    const imports = ts.preProcessFile(text, true, true).importedFiles.map((found) => found.fileName);
    const refused = imports.filter((specifier) => !isAllowed(specifier, name, may, rule));
    return [
      ...refused.map((specifier) => `${name}: imports ${specifier}`),
      ...forbiddenGlobals(text, rule.runsIn).map((word) => `${name}: uses ${word}`),
    ];
  });
}

function sourceFiles(root: string): string[] {
  return readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts'))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

/** `mesh/weld.ts` belongs to `mesh`, `survey.ts` to itself. */
const unitOf = (name: string): string => name.split('/')[0];

function isAllowed(specifier: string, name: string, may: readonly string[], rule: Rule): boolean {
  if (specifier.startsWith('.')) {
    const target = normalize(join(dirname(name), specifier))
      .split(sep)
      .join('/')
      .replace(/\.js$/, '.ts');
    return may.includes(unitOf(target));
  }
  const packages = rule.packages ?? {};
  const found = Object.keys(packages).find(
    (key) =>
      specifier === key ||
      specifier.startsWith(`${key}/`) ||
      (key === 'node:*' && specifier.startsWith('node:')),
  );
  if (found === undefined) return false;
  return packages[found].includes('*') || packages[found].includes(name);
}

function forbiddenGlobals(text: string, runsIn: Rule['runsIn']): string[] {
  const words = [
    ...(runsIn === 'Node' ? [] : NODE_GLOBALS),
    ...(runsIn === 'browser' ? [] : BROWSER_GLOBALS),
    ...(runsIn === 'anywhere' ? NEVER_ANYWHERE : []),
  ];
  const source = ts.createSourceFile('file.ts', text, ts.ScriptTarget.ES2022, true);
  const declared = new Set<string>();
  const used: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isIdentifier(node)) {
      if (declares(node)) declared.add(node.text);
      else if (words.includes(node.text) && !isMemberName(node)) used.push(node.text);
    }
    if (
      runsIn === 'anywhere' &&
      ts.isPropertyAccessExpression(node) &&
      ts.isIdentifier(node.expression) &&
      NEVER_MEMBERS[node.expression.text]?.includes(node.name.text)
    )
      used.push(node.getText());
    ts.forEachChild(node, visit);
  };
  visit(source);
  return [...new Set(used)].filter((word) => !declared.has(word));
}

/** Names of variables, parameters and imports, not of members. */
function declares(node: ts.Identifier): boolean {
  const { parent } = node;
  const isDeclaration =
    ts.isVariableDeclaration(parent) ||
    ts.isParameter(parent) ||
    ts.isBindingElement(parent) ||
    ts.isImportSpecifier(parent) ||
    ts.isImportClause(parent) ||
    ts.isFunctionDeclaration(parent);
  return isDeclaration && parent.name === node;
}

/** `b` in `a.b`, `{ b: 1 }`, `interface I { b: number }` and `import { b as c }`: no use of a global `b`. */
function isMemberName(node: ts.Identifier): boolean {
  const { parent } = node;
  if (ts.isQualifiedName(parent)) return parent.right === node;
  const holdsMember =
    ts.isPropertyAccessExpression(parent) ||
    ts.isPropertyAssignment(parent) ||
    ts.isPropertySignature(parent) ||
    ts.isMethodSignature(parent);
  return ts.isImportSpecifier(parent) || (holdsMember && parent.name === node);
}
