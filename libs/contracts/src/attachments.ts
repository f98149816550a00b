/** Photographs and reports that go with an act. The act names each by the hash of its bytes, so the journal's chain covers them. */
import { z } from 'zod';
import { Name } from './primitives.ts';

/** What is kept, and the ending of its file. */
export const ATTACHMENT_ENDINGS = {
  'image/jpeg': 'jpg',
  'image/png': 'png',
  'image/webp': 'webp',
  'application/pdf': 'pdf',
} as const;
export type AttachmentType = keyof typeof ATTACHMENT_ENDINGS;
export const ATTACHMENT_TYPES = Object.keys(ATTACHMENT_ENDINGS) as AttachmentType[];

export const MOST_ATTACHMENT_BYTES = 10_000_000;
export const MOST_ATTACHMENTS = 8;

/** SHA-256 of the bytes, in lower-case hex. */
export const ContentHash = z
  .string()
  .regex(/^[0-9a-f]{64}$/, 'a SHA-256 of 64 hex digits is needed');

export const Attachment = z.strictObject({
  sha256: ContentHash,
  mediaType: z.enum(ATTACHMENT_TYPES),
  /** As the file was called where it came from. */
  name: Name,
  bytes: z.int().min(1).max(MOST_ATTACHMENT_BYTES, 'must be at most 10 MB'),
});
export type Attachment = z.infer<typeof Attachment>;
