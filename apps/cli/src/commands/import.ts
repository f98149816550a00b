import { basename } from 'node:path';
import { Argument, type Command } from 'commander';
import { api, ImportKind, ImportReport } from '@rundlet/contracts';
import { v7 as uuid } from 'uuid';
import { jobResult, textOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';
import { zoneByCode } from '../places.ts';

interface ImportOptions {
  readonly apply?: boolean;
  readonly zone?: string;
  readonly logger?: string;
}

export function addImport(program: Command, contextOf: () => Context): void {
  program
    .command('import')
    .description(
      'read a CSV file: rehearsed unless --apply; nothing is written when a row is refused',
    )
    .addArgument(
      new Argument('<kind>', 'what the rows are').choices([...ImportKind.options, 'climate']),
    )
    .argument('<file>', 'CSV file, or - for standard input')
    .option('--apply', 'really do it')
    .option('--zone <code>', 'climate: the zone the logger hangs in')
    .option('--logger <name>', 'climate: the logger’s name (else the file’s)')
    .action((kind: ImportKind | 'climate', file: string, options: ImportOptions) =>
      kind === 'climate'
        ? importClimate(contextOf(), file, options)
        : importRows(contextOf(), kind, file, options),
    );
}

async function importRows(
  context: Context,
  kind: ImportKind,
  file: string,
  { apply = false }: ImportOptions,
): Promise<void> {
  const csv = await textOf(file);
  const client = await context.client();
  const { jobId } = await client.call(api.imports.importCsv, {
    params: { kind },
    body: { csv, apply },
  });
  const report = ImportReport.parse(await jobResult(context, jobId));
  context.answer(report, inWords(report, apply));
  if (report.errors.length > 0)
    throw new Failure(
      report.applied
        ? 'Some rows were left out, because others wrote something that clashes with them meanwhile.'
        : `${String(report.rowsRead - report.rowsGood)} of ${String(report.rowsRead)} rows are wrong; nothing was imported.`,
      EXIT.refused,
    );
}

function inWords(report: ImportReport, apply: boolean): string {
  const lines = report.errors.map(
    ({ line, column, message }) =>
      `line ${String(line)}${column === null ? '' : `, ${column}`}: ${message}`,
  );
  const good = `${String(report.rowsGood)} of ${String(report.rowsRead)} rows are good`;
  if (report.errors.length > 0)
    return [...lines, report.applied ? `${good} and were imported.` : `${good}.`].join('\n');
  if (report.applied) return `${good} and were imported.`;
  return apply
    ? `${good}; nothing was imported.`
    : `${good}. This was a rehearsal; --apply imports them.`;
}

async function importClimate(
  context: Context,
  file: string,
  options: ImportOptions,
): Promise<void> {
  if (options.zone === undefined)
    throw new Failure('A logger’s file needs --zone CODE: where it hangs.', EXIT.usage);
  const csv = await textOf(file);
  const client = await context.client();
  const zone = await zoneByCode(client, options.zone);
  const apply = options.apply ?? false;
  const logger = options.logger ?? (file === '-' ? 'standard input' : basename(file));
  const report = await client.call(api.maturation.importClimate, {
    params: { id: zone.id },
    body: { actId: uuid(), logger, csv, apply },
  });
  const rejected = report.rejected.map(({ line, reason }) => `line ${String(line)}: ${reason}`);
  const span =
    report.firstAt === null
      ? ''
      : `, ${report.firstAt.slice(0, 10)} to ${String(report.lastAt?.slice(0, 10))}`;
  context.answer(
    report,
    [
      ...rejected,
      ...report.remarks,
      `${String(report.rowsAccepted)} of ${String(report.rowsRead)} rows, ${String(report.days)} days${span}, zone ${zone.code}.`,
      report.applied
        ? 'Imported.'
        : apply
          ? 'Nothing was imported.'
          : 'This was a rehearsal; --apply imports them.',
    ].join('\n'),
  );
  if (apply && !report.applied) throw new Failure('No row could be used.', EXIT.refused);
}
