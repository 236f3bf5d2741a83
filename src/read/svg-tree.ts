import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { messageOf, type PartError } from '../core/errors.js';
import { readError } from './read-error.js';

export interface SvgElement {
  /** Tag name, with its prefix if it has one. */
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly SvgElement[];
}

/**
 * Element tree of an SVG document, text left out.
 *
 * @throws {PartError} `within.not-xml`, `within.not-svg`
 */
export function readSvgTree(text: string, where: string): SvgElement {
  const valid = XMLValidator.validate(text);
  if (valid !== true)
    throw notXml(`${where}, line ${valid.err.line}`, `not well-formed XML (${valid.err.msg})`);
  const parser = new XMLParser({
    preserveOrder: true,
    ignoreAttributes: false,
    attributeNamePrefix: '',
    parseAttributeValue: false,
    parseTagValue: false,
    processEntities: true,
    ignoreDeclaration: true,
    ignorePiTags: true,
  });
  const parsed = parsedBy(parser, text, where);
  const root = childElements(parsed)[0];
  if (root?.name !== 'svg') {
    throw readError(
      'within.not-svg',
      where,
      `root element ${root ? `<${root.name}>` : 'missing'}, <svg> expected`,
      'give an SVG file',
    );
  }
  return root;
}

/** What the parser refuses, nesting without end or names that are keys of every object, is the file's fault. */
function parsedBy(parser: XMLParser, text: string, where: string): unknown {
  try {
    return parser.parse(text);
  } catch (error) {
    throw notXml(where, `XML that cannot be read (${messageOf(error)})`);
  }
}

const notXml = (where: string, what: string, remedy = 'export the drawing as SVG again'): PartError =>
  readError('within.not-xml', where, what, remedy);

// The parser returns a list of objects with one key, the tag, holding the list of children; ":@" holds
// attributes.

function childElements(list: unknown): SvgElement[] {
  if (!Array.isArray(list)) return [];
  return list.flatMap((node: unknown) => {
    if (typeof node !== 'object' || node === null) return [];
    const entries = Object.entries(node);
    const tag = entries.find(([key]) => key !== ':@' && !key.startsWith('#'));
    if (!tag) return [];
    const given: unknown = entries.find(([key]) => key === ':@')?.[1];
    const attributes =
      typeof given === 'object' && given !== null
        ? Object.fromEntries(Object.entries(given).map(([key, value]) => [key, String(value)]))
        : {};
    return [{ name: tag[0], attributes, children: childElements(tag[1]) }];
  });
}
