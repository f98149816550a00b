import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { Argument, type Command } from 'commander';
import { base64Of } from '@rundlet/client';
import { api, MOST_ATTACHMENTS, type Attachment } from '@rundlet/contracts';
import { v7 as uuid } from 'uuid';
import type { Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';
import { caskByText } from '../places.ts';

export function addAttach(program: Command, contextOf: () => Context): void {
  program
    .command('attach')
    .description('put photographs or PDFs into a cask’s history, with a note')
    .argument('<cask>', 'the cask’s code, alias or scanned text')
    .addArgument(
      new Argument('<files...>', `JPEG, PNG, WebP or PDF, ${String(MOST_ATTACHMENTS)} at most`),
    )
    .requiredOption('--note <text>', 'what they show')
    .action(async (code: string, files: string[], { note }: { note: string }) => {
      const context = contextOf();
      const contents = await Promise.all(files.map(bytesOf));
      const client = await context.client();
      const cask = await caskByText(client, code);
      const attachments: Attachment[] = [];
      for (const [i, bytes] of contents.entries()) {
        const sha256 = createHash('sha256').update(bytes).digest('hex');
        const body = { base64: await base64Of({ sha256, bytes: new Blob([bytes]) }) };
        const kept = await client.call(api.attachments.keep, { params: { hash: sha256 }, body });
        attachments.push({ ...kept, name: basename(files[i] ?? '') });
      }
      const submitted = await client.call(api.journal.submit, {
        body: {
          id: uuid(),
          kind: 'cask.note',
          happenedAt: new Date().toISOString(),
          body: { caskId: cask.id, text: note, attachments },
        },
      });
      context.answer(
        submitted,
        attachments.map(({ name, sha256 }) => `${name} at cask ${cask.code}: ${sha256}`).join('\n'),
      );
    });
}

async function bytesOf(file: string): Promise<Uint8Array<ArrayBuffer>> {
  try {
    return new Uint8Array(await readFile(file));
  } catch (error) {
    throw new Failure(`${file} cannot be read: ${(error as Error).message}`, EXIT.usage);
  }
}
