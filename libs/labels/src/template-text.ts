/** A template as somebody writes it: JSON text, with every problem named at its line. */
import {
  findNodeAtLocation,
  parseTree,
  printParseErrorCode,
  type Node,
  type ParseError,
} from 'jsonc-parser';
import { parseTemplate, type Template } from './template.ts';

export interface TextPlace {
  /** From 1. */
  readonly line: number;
  readonly column: number;
}

export interface TemplateProblem extends TextPlace {
  /** JSON pointer of what is wrong; empty for the text as a whole. */
  readonly path: string;
  readonly message: string;
}

export type TemplateTextResult =
  | {
      readonly status: 'ok';
      readonly template: Template;
      /** The parsed JSON, as it is to be kept. */
      readonly json: Readonly<Record<string, unknown>>;
      /** Where an item of the template begins. */
      readonly placeOfItem: (item: number) => TextPlace;
    }
  | { readonly status: 'invalid'; readonly problems: readonly TemplateProblem[] };

export function parseTemplateText(text: string): TemplateTextResult {
  const errors: ParseError[] = [];
  const root = parseTree(text, errors, { disallowComments: true, allowTrailingComma: false });
  const placeOf = placesIn(text);
  if (errors.length > 0 || !root)
    return {
      status: 'invalid',
      problems:
        errors.length === 0
          ? [{ path: '', message: 'There is nothing here yet.', ...placeOf(0) }]
          : errors.map(({ error, offset }) => ({
              path: '',
              message: `This is not JSON: ${wordsOf(printParseErrorCode(error))}.`,
              ...placeOf(offset),
            })),
    };
  const json: unknown = JSON.parse(text);
  const result = parseTemplate(json);
  if (result.status === 'invalid')
    return {
      status: 'invalid',
      problems: result.problems.map(({ path, message }) => ({
        path,
        message,
        ...placeOf(nearestNode(root, path).offset),
      })),
    };
  return {
    status: 'ok',
    template: result.template,
    json: json as Readonly<Record<string, unknown>>,
    placeOfItem: (item) => placeOf(nearestNode(root, `/items/${String(item)}`).offset),
  };
}

/** The node a pointer names, or what stands nearest above it: a key that is missing has no line of its own. */
function nearestNode(root: Node, pointer: string): Node {
  const steps = pointer
    .split('/')
    .slice(1)
    .map((step) => (/^\d+$/.test(step) ? Number(step) : step));
  for (let length = steps.length; length > 0; length--) {
    const node = findNodeAtLocation(root, steps.slice(0, length));
    if (node) return node;
  }
  return root;
}

function placesIn(text: string): (offset: number) => TextPlace {
  const starts = [0];
  for (let at = text.indexOf('\n'); at !== -1; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
  return (offset) => {
    const line = starts.findLastIndex((start) => start <= offset);
    return { line: line + 1, column: offset - (starts[line] as number) + 1 };
  };
}

/** `CommaExpected` as `comma expected`. */
const wordsOf = (code: string): string =>
  code.replace(/(?<=.)[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`).toLowerCase();
