import type { Command } from 'commander';
import { api, VerifyReport } from '@rundlet/contracts';
import { jobResult, textOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

export function addVerify(program: Command, contextOf: () => Context): void {
  program
    .command('verify')
    .description(
      'check the journal: its chain, its alcohol, its attachments, and every record against the fold',
    )
    .option(
      '--checkpoint <files...>',
      'signed checkpoints kept outside: each must fit the journal as it is now',
    )
    .action(async ({ checkpoint = [] }: { checkpoint?: string[] }) => {
      const context = contextOf();
      const client = await context.client();
      const { jobId } = await client.call(api.journal.verify, {
        body: { checkpoints: await Promise.all(checkpoint.map(textOf)) },
      });
      const report = VerifyReport.parse(await jobResult(context, jobId));
      const failures = report.failures.map(
        ({ what, entrySeq, record }) =>
          `  ${entrySeq === null ? '' : `entry ${String(entrySeq)}: `}${record === null ? '' : `${record}: `}${what}`,
      );
      context.answer(
        report,
        [
          `${String(report.entries)} entries, ${String(report.records)} records, last hash ${report.lastHash}`,
          `${String(report.checkpoints.kept)} checkpoints kept${report.checkpoints.brought > 0 ? `, ${String(report.checkpoints.brought)} brought along` : ''}${report.checkpoints.lastSeq === null ? '' : `, the last over entry ${String(report.checkpoints.lastSeq)}`}${report.checkpoints.keyIds.map((id) => `\n  signed with ${id}`).join('')}`,
          ...(report.attachments > 0
            ? [`${String(report.attachments)} attachments looked at`]
            : []),
          ...failures,
          report.ok ? 'The journal verifies.' : 'The journal does NOT verify.',
        ].join('\n'),
      );
      if (!report.ok) throw new Failure('The journal does not verify.', EXIT.negative);
    });
}
