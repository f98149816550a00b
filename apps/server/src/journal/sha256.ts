import { createHash } from 'node:crypto';

/** SHA-256 of a text's UTF-8 bytes in lower-case hex: what the domain's own gives, many times faster. */
export const sha256Hex = (text: string): string => createHash('sha256').update(text).digest('hex');
