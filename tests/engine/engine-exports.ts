import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

const ROOT = new URL('../../', import.meta.url);

export interface EngineFunction {
  readonly name: string;
  /** Folder of `shared/` that the function is declared in. */
  readonly discipline: string;
  readonly summary: string;
  /** First word of each part of its `@source` tags, which are parted by semicolons. */
  readonly sources: readonly string[];
}

function textOf(comment: ts.JSDoc['comment'] | ts.JSDocTag['comment']): string {
  return (ts.getTextOfJSDocComment(comment) ?? '').trim();
}

function documented(name: string, declaration: ts.Node, discipline: string): EngineFunction {
  const comments = ts.getJSDocCommentsAndTags(declaration).filter(ts.isJSDoc);
  const sources = comments
    .flatMap(({ tags }) => [...(tags ?? [])])
    .filter(({ tagName }) => tagName.text === 'source')
    .flatMap(({ comment }) => textOf(comment).split(';'))
    .map((part) => part.trim().split(/[\s,]/)[0] ?? '');
  return { name, discipline, summary: textOf(comments.at(-1)?.comment), sources };
}

const isFunction = (node: ts.Node | undefined): boolean =>
  node !== undefined && (ts.isArrowFunction(node) || ts.isFunctionExpression(node));

/** Every function that `shared/index.ts` exports, read from the TypeScript source. */
export function engineFunctions(): EngineFunction[] {
  const barrel = fileURLToPath(new URL('shared/index.ts', ROOT));
  const program = ts.createProgram([barrel], {
    target: ts.ScriptTarget.ES2023,
    module: ts.ModuleKind.NodeNext,
    moduleResolution: ts.ModuleResolutionKind.NodeNext,
    allowImportingTsExtensions: true,
    noEmit: true,
    noLib: true,
    types: [],
  });
  const checker = program.getTypeChecker();
  const file = program.getSourceFile(barrel);
  const module = file && checker.getSymbolAtLocation(file);
  if (!module) throw new Error('shared/index.ts exports nothing');
  return checker.getExportsOfModule(module).flatMap((symbol) => {
    const isAlias = (symbol.flags & ts.SymbolFlags.Alias) !== 0;
    const target = isAlias ? checker.getAliasedSymbol(symbol) : symbol;
    const declaration = target.valueDeclaration;
    if (!declaration) return [];
    const isCallable =
      ts.isFunctionDeclaration(declaration) ||
      (ts.isVariableDeclaration(declaration) && isFunction(declaration.initializer));
    if (!isCallable) return [];
    const path = declaration.getSourceFile().fileName;
    const [, discipline = ''] = /\/shared\/([\w-]+)\/[^/]+$/.exec(path) ?? [];
    return [documented(symbol.name, declaration, discipline)];
  });
}

function testFiles(folder: URL): URL[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    if (entry.isDirectory()) return testFiles(new URL(`${entry.name}/`, folder));
    return entry.name.endsWith('.ts') ? [new URL(entry.name, folder)] : [];
  });
}

/** Text of every TypeScript file in these folders of `tests`. */
export function testTexts(folders: readonly string[]): string[] {
  return folders
    .flatMap((folder) => testFiles(new URL(`tests/${folder}/`, ROOT)))
    .map((file) => readFileSync(file, 'utf8'));
}

/** Names that tests of these folders call, or hand to something that calls them. */
export function calledInTests(folders: readonly string[]): ReadonlySet<string> {
  const called = new Set<string>();
  const visit = (node: ts.Node): void => {
    if (ts.isCallExpression(node)) {
      for (const part of [node.expression, ...node.arguments]) {
        if (ts.isIdentifier(part)) called.add(part.text);
      }
    }
    ts.forEachChild(node, visit);
  };
  for (const text of testTexts(folders)) {
    visit(ts.createSourceFile('test.ts', text, ts.ScriptTarget.ES2023, true));
  }
  return called;
}
