import { text } from 'node:stream/consumers';
import { Option, type Command } from 'commander';
import { api, ROLES, type Person, type Role } from '@rundlet/contracts';
import type { Client } from '@rundlet/client';
import type { Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

const roleOption = (): Option =>
  new Option(
    '--role <role...>',
    'what the person may do; each role includes those before it',
  ).choices(ROLES);

const line = (person: Person): string =>
  `${person.signInName.padEnd(20)} ${person.roles.join(', ').padEnd(12)} ${person.name}${person.disabled ? ' (disabled)' : ''}`;

export function addPeople(program: Command, contextOf: () => Context): void {
  const people = program.command('person').description('people who may sign in');

  people
    .command('list')
    .description('all people')
    .action(async () => {
      const context = contextOf();
      const { rows } = await (await context.client()).call(api.session.people);
      context.answer(rows, rows.map(line).join('\n'));
    });

  people
    .command('add <sign-in-name>')
    .description('add a person; the password is read from standard input')
    .requiredOption('--name <name>', 'the person’s name')
    .addOption(roleOption().makeOptionMandatory())
    .action(async (signInName: string, { name, role }: { name: string; role: Role[] }) => {
      const context = contextOf();
      const client = await context.client();
      const password = await passwordFromInput();
      const person = await client.call(api.session.addPerson, {
        body: { signInName, name, roles: role, password },
      });
      context.answer(person, `Added: ${line(person)}`);
    });

  people
    .command('change <sign-in-name>')
    .description('change what is given')
    .option('--name <name>')
    .addOption(roleOption())
    .option('--password', 'read a new password from standard input')
    .option('--disable', 'may not sign in any more')
    .option('--enable', 'may sign in again')
    .action(async (signInName: string, options: Change) => {
      const context = contextOf();
      const client = await context.client();
      const { id } = await personNamed(client, signInName);
      const person = await client.call(api.session.changePerson, {
        params: { id },
        body: {
          ...(options.name === undefined ? {} : { name: options.name }),
          ...(options.role === undefined ? {} : { roles: options.role }),
          ...(options.password === true ? { password: await passwordFromInput() } : {}),
          ...(options.disable === true
            ? { disabled: true }
            : options.enable === true
              ? { disabled: false }
              : {}),
        },
      });
      context.answer(person, `Changed: ${line(person)}`);
    });

  people
    .command('first <sign-in-name>')
    .description(
      'make the first administrator with the one-time link’s token; the password is read from standard input',
    )
    .requiredOption('--name <name>', 'the person’s name')
    .requiredOption('--link <link>', 'the link that the server printed, or its last part')
    .action(async (signInName: string, { name, link }: { name: string; link: string }) => {
      const context = contextOf();
      const token = link.split('/').at(-1) ?? link;
      const password = await passwordFromInput();
      const person = await context
        .stranger()
        .call(api.session.setUp, { body: { token, signInName, name, password } });
      context.answer(person, `The first administrator: ${line(person)}`);
    });
}

interface Change {
  readonly name?: string;
  readonly role?: Role[];
  readonly password?: boolean;
  readonly disable?: boolean;
  readonly enable?: boolean;
}

async function personNamed(client: Client, signInName: string): Promise<Person> {
  const { rows } = await client.call(api.session.people);
  const person = rows.find((p) => p.signInName === signInName.toLowerCase());
  if (person === undefined) throw new Failure(`Nobody signs in as ${signInName}.`, EXIT.refused);
  return person;
}

/** Passwords come by standard input: a flag would stand in the shell’s history. */
async function passwordFromInput(): Promise<string> {
  if (process.stdin.isTTY) process.stderr.write('Password, then Enter and Ctrl-D: ');
  const password = (await text(process.stdin)).replace(/\r?\n$/, '');
  if (password === '') throw new Failure('No password came by standard input.', EXIT.usage);
  return password;
}
