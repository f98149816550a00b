import { Command, CommanderError } from 'commander';
import { addAttach } from './commands/attach.ts';
import { addBackup } from './commands/backup.ts';
import { addCertificate } from './commands/certificate.ts';
import { addDevices } from './commands/devices.ts';
import { addEvents } from './commands/events.ts';
import { addExport } from './commands/export.ts';
import { addForecast } from './commands/forecast.ts';
import { addImport } from './commands/import.ts';
import { addMoveToPostgres } from './commands/move-to-postgres.ts';
import { addOutbox } from './commands/outbox.ts';
import { addPeople } from './commands/people.ts';
import { addPlan } from './commands/plan.ts';
import { addServe } from './commands/serve.ts';
import { addVerifyStatement } from './commands/verify-statement.ts';
import { addVerify } from './commands/verify.ts';
import { contextOf, DEFAULT_URL, type GlobalOptions, type Streams } from './context.ts';
import { EXIT, failureOf } from './failure.ts';

const EXIT_CODES = `
Exit codes:
  0  done
  1  something broke
  2  wrong flags, or a file that cannot be read
  3  refused: by rights, by rules, or for rows of the file (each is named)
  4  the server cannot be reached
  5  answered, but not well: the journal does not verify, or no blend fits`;

/** Runs one command line and gives the exit code. */
export async function run(
  argv: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
  streams: Streams,
): Promise<number> {
  const program = new Command('rundlet')
    .description('What is not screen work: serve, import, export, verify, back up, forecast, plan.')
    .option('--url <address>', `the server (RUNDLET_URL, else ${DEFAULT_URL})`)
    .option('--token <secret>', 'device token (RUNDLET_TOKEN)')
    .option('--user <name>', 'sign in as a person (RUNDLET_USER); the password in RUNDLET_PASSWORD')
    .option('--json', 'answer in JSON')
    .addHelpText('after', EXIT_CODES)
    .configureOutput({
      writeOut: (text) => streams.out.write(text),
      writeErr: (text) => streams.err.write(text),
    })
    .exitOverride()
    .showHelpAfterError('Try --help.');
  const context = () => contextOf(program.opts<GlobalOptions>(), environment, streams);
  addServe(program);
  addImport(program, context);
  addExport(program, context);
  addEvents(program, context);
  addOutbox(program, context);
  addAttach(program, context);
  addVerify(program, context);
  addVerifyStatement(program, context);
  addBackup(program, context);
  addMoveToPostgres(program, context);
  addCertificate(program, context);
  addForecast(program, context);
  addPlan(program, context);
  addPeople(program, context);
  addDevices(program, context);
  try {
    await program.parseAsync([...argv]);
    return EXIT.done;
  } catch (error) {
    // Commander has told its own errors already.
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.usage;
    const failure = failureOf(error);
    if (program.opts<GlobalOptions>().json === true)
      streams.err.write(
        `${JSON.stringify({ error: failure.message, details: failure.details })}\n`,
      );
    else streams.err.write(`${failure.message}\n`);
    return failure.exit;
  }
}
