import { z } from 'zod';
import { Attachment, ContentHash, MOST_ATTACHMENT_BYTES } from '../attachments.ts';
import { endpoint } from '../endpoint.ts';

const ByHash = z.strictObject({ hash: ContentHash });

export const attachmentsApi = {
  keep: endpoint({
    method: 'POST',
    path: '/api/attachments/:hash',
    summary:
      'Hand in the bytes of an attachment, before the act that names them; again changes nothing',
    access: 'warehouse',
    params: ByHash,
    body: z.strictObject({
      base64: z
        .string()
        .min(4, 'must not be empty')
        .max(Math.ceil(MOST_ATTACHMENT_BYTES / 3) * 4, 'the file must be at most 10 MB'),
    }),
    response: Attachment.omit({ name: true }),
  }),
  bytes: endpoint({
    method: 'GET',
    path: '/api/attachments/:hash',
    summary: 'The bytes of an attachment: a picture or a PDF',
    access: 'read',
    params: ByHash,
    response: z.unknown(),
    file: 'application/octet-stream',
  }),
};
