import 'reflect-metadata';
import { fileURLToPath } from 'node:url';
import type { NestExpressApplication } from '@nestjs/platform-express';
import { createApp } from './create-app.ts';
import { makeDataFolder, settingsFrom, SettingsError, type Settings } from './platform/settings.ts';
import { DemoPeople } from './session/demo-people.ts';
import { FirstAdministrator } from './session/first-administrator.ts';

const STOP_LIMIT_MS = 20_000;

/** What a person at the terminal should see. Kept apart from the log, because some of it is secret. */
const tell = (text: string): void => void process.stderr.write(`${text}\n`);

try {
  const settings = settingsFrom(process.env, {
    webFolder: fileURLToPath(new URL('../../web/dist', import.meta.url)),
  });
  makeDataFolder(settings);
  await serve(settings);
} catch (error) {
  tell(
    error instanceof SettingsError
      ? `The settings need putting right:\n${error.message}`
      : error instanceof Error
        ? `Rundlet could not start: ${error.message}`
        : String(error),
  );
  if (!(error instanceof SettingsError)) tell(error instanceof Error ? (error.stack ?? '') : '');
  // A failed migration leaves the connection in a state that nothing may go on with.
  process.exit(1);
}

/** Ends the server once what it has begun is done; a second signal, or too long a wait, ends it at once. */
function stopWhenAsked(app: NestExpressApplication): void {
  let asked = false;
  const stop = (): void => {
    if (asked) process.exit(1);
    asked = true;
    setTimeout(() => process.exit(1), STOP_LIMIT_MS).unref();
    app.close().then(
      () => process.exit(0),
      (error: unknown) => {
        tell(`Rundlet did not stop as it should: ${String(error)}`);
        process.exit(1);
      },
    );
  };
  process.on('SIGTERM', stop);
  process.on('SIGINT', stop);
}

async function serve(settings: Settings): Promise<void> {
  const app = await createApp(settings);
  stopWhenAsked(app);
  const demo = settings.demo ? await app.get(DemoPeople).ensure(settings.dataFolder) : [];
  await app.listen(settings.port, settings.host);
  const address = settings.origin ?? (await app.getUrl()).replace('[::1]', 'localhost');
  tell(`Rundlet serves ${settings.estateName} at ${address}`);
  if (demo.length > 0) tell('This is a demo with invented people. Sign in as');
  for (const p of demo)
    tell(`  ${p.signInName.padEnd(14)} ${p.password.padEnd(36)} ${p.name}, ${p.roles.join(', ')}`);
  const token = await app.get(FirstAdministrator).issueToken();
  if (token !== null)
    tell(
      `Nobody can sign in yet. Make the first administrator with this link; it works once:\n  ${address}/first-administrator/${token}`,
    );
}
