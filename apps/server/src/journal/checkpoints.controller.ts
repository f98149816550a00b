import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { checkpointLetter } from '@rundlet/statements';
import type { Response } from 'express';
import { Records } from '../database/records.ts';
import { qrPicture } from '../labels/qr-picture.ts';
import type { Actor } from '../platform/actor.ts';
import { By, Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { Checkpoints } from './checkpoints.ts';
import { SigningKeys } from './signing-keys.ts';

const { journal } = api;

@Controller()
export class CheckpointsController {
  constructor(
    private readonly checkpoints: Checkpoints,
    private readonly keys: SigningKeys,
    private readonly records: Records,
  ) {}

  @Serves(journal.checkpoints)
  list(
    @Input() { query }: InputOf<typeof journal.checkpoints>,
  ): Promise<AnswerOf<typeof journal.checkpoints>> {
    return this.records.page('checkpoint', { column: 'at', direction: 'desc' }, query);
  }

  @Serves(journal.signCheckpoint)
  sign(
    @Input() _: InputOf<typeof journal.signCheckpoint>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.signCheckpoint>> {
    return this.checkpoints.sign(by);
  }

  @Serves(journal.checkpointLetter)
  async letter(
    @Input() { params }: InputOf<typeof journal.checkpointLetter>,
    @Res() response: Response,
  ): Promise<void> {
    const { seq, statement, keyId } = await this.records.need('checkpoint', params.id);
    sendFile(response, {
      name: `checkpoint-${String(seq)}.txt`,
      contentType: 'text/plain; charset=utf-8',
      content: checkpointLetter(statement, keyId),
    });
  }

  @Serves(journal.checkpointCode)
  async code(
    @Input() { params }: InputOf<typeof journal.checkpointCode>,
    @Res() response: Response,
  ): Promise<void> {
    const { seq, statement } = await this.records.need('checkpoint', params.id);
    sendFile(response, {
      name: `checkpoint-${String(seq)}.svg`,
      contentType: 'image/svg+xml',
      content: qrPicture(statement),
    });
  }

  @Serves(journal.keys)
  async publicKeys(): Promise<AnswerOf<typeof journal.keys>> {
    return { rows: await this.keys.all() };
  }

  @Serves(journal.changeKey)
  change(
    @Input() _: InputOf<typeof journal.changeKey>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.changeKey>> {
    return this.keys.change(by);
  }
}
