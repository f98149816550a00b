import { expect } from 'vitest';

/** Any text, where what it says is of no matter. */
export const aText = expect.any(String) as string;
/** A text with this in it. */
export const saying = (part: string): string => expect.stringContaining(part) as string;
/** A text of this shape. */
export const like = (shape: RegExp): string => expect.stringMatching(shape) as string;
/** An object with at least these members. */
export const having = (members: object): object => expect.objectContaining(members) as object;
