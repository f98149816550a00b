import { writeFile } from 'node:fs/promises';
import { Argument, type Command } from 'commander';
import { api } from '@rundlet/contracts';
import type { Context } from '../context.ts';

const KINDS = ['casks', 'gauges', 'postings', 'positions'] as const;

export function addExport(program: Command, contextOf: () => Context): void {
  program
    .command('export')
    .description('write a CSV file')
    .addArgument(new Argument('<kind>', 'what to export').choices(KINDS))
    .option('--out <file>', 'file to write (else standard output)')
    .action(async (kind: (typeof KINDS)[number], { out }: { out?: string }) => {
      const context = contextOf();
      const client = await context.client();
      const { bytes } = await client.file(api.imports.exportCsv, { params: { kind } });
      if (out === undefined) {
        context.pass(new Uint8Array(bytes));
        return;
      }
      await writeFile(out, Buffer.from(bytes));
      context.answer(
        { kind, file: out, bytes: bytes.byteLength },
        `${out}: ${String(bytes.byteLength)} bytes.`,
      );
    });
}
