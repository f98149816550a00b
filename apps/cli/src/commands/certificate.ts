import { existsSync } from 'node:fs';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { join, resolve } from 'node:path';
import type { Command } from 'commander';
import {
  keyPem,
  makeAuthority,
  makeServerCertificate,
  readAuthority,
  SERVER_DAYS,
  type Authority,
} from '../authority.ts';
import { given, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

interface CertificateOptions {
  readonly data?: string;
  readonly host: readonly string[];
}

/** The folder below the data folder that `serve --https` and the server read. */
export const TLS_FOLDER = 'tls';

export function addCertificate(program: Command, contextOf: () => Context): void {
  program
    .command('certificate')
    .description('make what HTTPS on your own network needs: an authority and a server certificate')
    .option('--data <folder>', 'folder that holds everything (RUNDLET_DATA, else .rundlet)')
    .option(
      '--host <name or address>',
      'what phones will type; may be given several times (else this machine’s addresses)',
      (value: string, before: readonly string[]) => [...before, value],
      [],
    )
    .action((options: CertificateOptions) => make(contextOf(), options));
}

async function make(context: Context, { data, host }: CertificateOptions): Promise<void> {
  const { environment } = context;
  const folder = join(
    resolve(data ?? given(environment, 'RUNDLET_DATA') ?? '.rundlet'),
    TLS_FOLDER,
  );
  const hosts = [
    ...new Set([...(host.length > 0 ? host : ownAddresses()), 'localhost', '127.0.0.1']),
  ];
  for (const one of hosts)
    if (!/^[0-9A-Za-z.:-]+$/.test(one))
      throw new Failure(
        `"${one}" is not a name or address: give it without https:// and without a port, like casks.harrowpoint.example.`,
        EXIT.usage,
      );
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const now = new Date();
  const file = (name: string) => join(folder, name);
  const known = existsSync(file('authority.key'));
  const authority = known
    ? await readAuthority(
        await readFile(file('authority.pem'), 'utf8'),
        await readFile(file('authority.key'), 'utf8'),
      )
    : await newAuthority(file, given(environment, 'RUNDLET_ESTATE_NAME') ?? 'Rundlet', now);
  const server = await makeServerCertificate(authority, hosts, now);
  const chain = `${server.certificate.toString('pem')}\n${authority.certificate.toString('pem')}\n`;
  await writeFile(file('server.pem'), chain);
  await writeFile(file('server.key'), await keyPem(server.keys.privateKey), { mode: 0o600 });
  const [first = 'localhost'] = hosts;
  const until = server.certificate.notAfter.toISOString().slice(0, 10);
  context.answer(
    { folder, hosts, until, newAuthority: !known },
    [
      known
        ? `The authority in ${folder} was kept: phones that trust it need nothing new.`
        : `A new authority is in ${folder}. Keep authority.key to yourself: whoever has it can pretend to be any site to your phones.`,
      `The server’s certificate is for ${hosts.join(', ')} and lasts ${String(SERVER_DAYS)} days, until ${until}; the same command renews it.`,
      '',
      'Serve with it:',
      `  rundlet serve --https --host 0.0.0.0${data === undefined ? '' : ` --data ${data}`}`,
      'Then, once on each phone:',
      `  open https://${first}:3000/https and follow what it says.`,
    ].join('\n'),
  );
}

async function newAuthority(
  file: (name: string) => string,
  estateName: string,
  now: Date,
): Promise<Authority> {
  const authority = await makeAuthority(estateName, now);
  await writeFile(file('authority.key'), await keyPem(authority.keys.privateKey), { mode: 0o600 });
  await writeFile(file('authority.pem'), `${authority.certificate.toString('pem')}\n`);
  // Phones take the binary form.
  await writeFile(file('authority.crt'), new Uint8Array(authority.certificate.rawData));
  return authority;
}

const ownAddresses = (): string[] =>
  Object.values(networkInterfaces()).flatMap((found) =>
    (found ?? [])
      .filter(({ internal, family }) => !internal && family === 'IPv4')
      .map(({ address }) => address),
  );
