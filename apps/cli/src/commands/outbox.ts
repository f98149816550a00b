import type { Command } from 'commander';
import { bringIn, doorOf, outboxFromFile, type OutboxFile } from '@rundlet/client';
import { textOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

export function addOutbox(program: Command, contextOf: () => Context): void {
  program
    .command('outbox')
    .description('book what a device saved as a file because it would not see the server again')
    .argument('<file>', 'the file, or - for standard input')
    .action(async (name: string) => {
      const context = contextOf();
      const file = read(await textOf(name), name);
      const client = await context.client();
      const results = await bringIn(file, doorOf(client));
      const of = (...states: string[]) =>
        results.filter(({ status }) => states.includes(status)).length;
      const refused = results.filter(({ status }) => status === 'refused');
      context.answer(
        results,
        [
          ...refused.map(
            ({ id, problem }) =>
              `${file.items.find(({ act }) => act.id === id)?.words ?? id}: ${problem?.detail ?? problem?.title ?? 'refused'}`,
          ),
          `${String(of('applied'))} booked, ${String(of('already-applied'))} were booked before, ${String(of('held'))} held for a keeper, ${String(refused.length)} refused.`,
        ].join('\n'),
      );
      if (refused.length > 0)
        throw new Failure(`${String(refused.length)} entries were refused.`, EXIT.refused);
    });
}

function read(content: string, name: string): OutboxFile {
  try {
    return outboxFromFile(content);
  } catch (error) {
    throw new Failure(
      `${name} is not a file that an outbox saved, or it was changed: ${(error as Error).message}`,
      EXIT.usage,
    );
  }
}
