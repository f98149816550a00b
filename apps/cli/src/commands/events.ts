import { writeFile } from 'node:fs/promises';
import type { Command } from 'commander';
import { api } from '@rundlet/contracts';
import { jsonOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';
import { caskByText } from '../places.ts';

interface ExportOptions {
  readonly cask?: string;
  readonly blend?: string;
  readonly from?: string;
  readonly to?: string;
  readonly out?: string;
}

/** GS1 EPCIS 2.0 events out and in. */
export function addEvents(program: Command, contextOf: () => Context): void {
  const events = program.command('events').description('GS1 EPCIS 2.0 events (JSON-LD) out and in');
  events
    .command('export')
    .description('write the events of a cask, a blend or a period')
    .option('--cask <code>', 'code or number of a cask')
    .option('--blend <id>', 'id of a blend')
    .option('--from <day>', 'first day, like 2026-01-01')
    .option('--to <day>', 'last day')
    .option('--out <file>', 'file to write (else standard output)')
    .action(async ({ cask, blend, from, to, out }: ExportOptions) => {
      const context = contextOf();
      const client = await context.client();
      const { bytes } = await client.file(api.epcis.exportEvents, {
        query: {
          ...(cask === undefined ? {} : { caskId: (await caskByText(client, cask)).id }),
          ...(blend === undefined ? {} : { blendId: blend }),
          ...(from === undefined ? {} : { from }),
          ...(to === undefined ? {} : { to }),
        },
      });
      if (out === undefined) context.pass(new Uint8Array(bytes));
      else {
        await writeFile(out, Buffer.from(bytes));
        context.answer(
          { file: out, bytes: bytes.byteLength },
          `${out}: ${String(bytes.byteLength)} bytes.`,
        );
      }
    });
  events
    .command('import')
    .description('take in the events of a farm or still house; without --apply only looks')
    .argument('<file>', 'EPCIS document in JSON-LD, or - for standard input')
    .option('--apply', 'write what can be taken')
    .action(async (file: string, { apply = false }: { apply?: boolean }) => {
      const context = contextOf();
      const client = await context.client();
      const report = await client.call(api.epcis.importEvents, {
        body: { document: await jsonOf(file), apply },
      });
      const lines = [
        ...report.taken.map((t) => `  event ${String(t.index + 1)}: ${t.kind}, ${t.makes}`),
        ...report.known.map((k) => `  event ${String(k.index + 1)}: known already, ${k.makes}`),
        ...report.left.map((l) => `  event ${String(l.index + 1)}: left, ${l.reason}`),
        ...report.refused.map((r) => `  event ${String(r.index + 1)}: REFUSED, ${r.reason}`),
      ];
      context.answer(
        report,
        [
          ...lines,
          `${String(report.events)} events, ${String(report.taken.length)} ${report.applied ? 'taken' : 'to be taken'}.`,
        ].join('\n'),
      );
      if (report.refused.length > 0) throw new Failure('Nothing was taken.', EXIT.refused);
    });
}
