import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Command } from 'commander';
import { EXIT, Failure } from '../failure.ts';
import { serverFile } from '../server-file.ts';
import { TLS_FOLDER } from './certificate.ts';

interface ServeOptions {
  readonly port?: string;
  readonly host?: string;
  readonly data?: string;
  readonly https?: boolean;
  readonly demo?: boolean;
}

export function addServe(program: Command): void {
  program
    .command('serve')
    .description('serve the estate until stopped; more settings by environment, see README')
    .option('--port <number>', 'port to listen on (PORT, else 3000)')
    .option('--host <address>', 'address to listen on (HOST, else 127.0.0.1)')
    .option('--data <folder>', 'folder that holds everything (RUNDLET_DATA, else .rundlet)')
    .option('--https', 'with the certificate that `rundlet certificate` made in the data folder')
    .option('--demo', 'with the demo’s invented people')
    .action((options: ServeOptions) => serve(options));
}

function serve({ port, host, data, https, demo }: ServeOptions): Promise<void> {
  const main = serverFile('main.js');
  const server = spawn(process.execPath, ['--enable-source-maps', main], {
    stdio: 'inherit',
    env: {
      ...process.env,
      ...(port === undefined ? {} : { PORT: port }),
      ...(host === undefined ? {} : { HOST: host }),
      ...(data === undefined ? {} : { RUNDLET_DATA: data }),
      ...(https === true ? tlsFiles(data) : {}),
      ...(demo === true ? { RUNDLET_DEMO: '1' } : {}),
    },
  });
  for (const signal of ['SIGINT', 'SIGTERM'] as const)
    process.on(signal, () => server.kill(signal));
  return new Promise((resolve, reject) => {
    server.on('error', reject);
    server.on('exit', (code, signal) => {
      if (code === 0 || signal !== null) resolve();
      else reject(new Failure(`The server ended with exit code ${String(code)}.`, EXIT.broken));
    });
  });
}

function tlsFiles(data: string | undefined): Record<string, string> {
  const folder = join(resolve(data ?? process.env['RUNDLET_DATA'] ?? '.rundlet'), TLS_FOLDER);
  const certificate = join(folder, 'server.pem');
  if (!existsSync(certificate))
    throw new Failure(
      `There is no certificate in ${folder}. Make one first: rundlet certificate --host NAME.`,
      EXIT.usage,
    );
  return { RUNDLET_TLS_CERT: certificate, RUNDLET_TLS_KEY: join(folder, 'server.key') };
}
