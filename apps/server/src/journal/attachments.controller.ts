import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import { Input, Serves } from '../platform/endpoint-handler.ts';
import { NotFound } from '../platform/refusals.ts';
import { AttachmentFiles } from './attachment-files.ts';

const { attachments } = api;

@Controller()
export class AttachmentsController {
  constructor(private readonly files: AttachmentFiles) {}

  @Serves(attachments.keep)
  keep(
    @Input() { params, body }: InputOf<typeof attachments.keep>,
  ): Promise<AnswerOf<typeof attachments.keep>> {
    return this.files.keep(params.hash, Buffer.from(body.base64, 'base64'));
  }

  @Serves(attachments.bytes)
  async bytes(
    @Input() { params }: InputOf<typeof attachments.bytes>,
    @Res() response: Response,
  ): Promise<void> {
    const found = await this.files.read(params.hash);
    if (!found) throw new NotFound(`There is no attachment ${params.hash}.`);
    response
      .status(200)
      .setHeader('content-type', found.mediaType)
      // What people hand in is shown or saved, and nothing in it runs.
      .setHeader(
        'content-disposition',
        found.mediaType === 'application/pdf' ? 'attachment' : 'inline',
      )
      .setHeader('content-security-policy', "default-src 'none'; sandbox")
      .setHeader('x-content-type-options', 'nosniff');
    response.end(found.content);
  }
}
