import { Option, type Command } from 'commander';
import { api, ROLES, type DeviceToken, type Role } from '@rundlet/contracts';
import type { Context } from '../context.ts';

const line = (device: DeviceToken): string =>
  [
    device.id,
    device.roles.join(', ').padEnd(12),
    device.label,
    device.revoked
      ? '(revoked)'
      : device.lastUsedAt === null
        ? '(never used)'
        : `(last used ${device.lastUsedAt.slice(0, 10)})`,
  ].join('  ');

export function addDevices(program: Command, contextOf: () => Context): void {
  const devices = program.command('device').description('tokens of scanners and programs');

  devices
    .command('list')
    .description('all device tokens')
    .action(async () => {
      const context = contextOf();
      const { rows } = await (await context.client()).call(api.session.devices);
      context.answer(rows, rows.map(line).join('\n'));
    });

  devices
    .command('add <label>')
    .description('issue a token; it is shown once')
    .addOption(
      new Option('--role <role...>', 'what the device may do').choices(ROLES).makeOptionMandatory(),
    )
    .action(async (label: string, { role }: { role: Role[] }) => {
      const context = contextOf();
      const client = await context.client();
      const issued = await client.call(api.session.addDevice, { body: { label, roles: role } });
      context.answer(issued, `${line(issued.device)}\nToken, shown this once: ${issued.secret}`);
    });

  devices
    .command('revoke <id>')
    .description('make a token worthless')
    .action(async (id: string) => {
      const context = contextOf();
      const client = await context.client();
      const device = await client.call(api.session.revokeDevice, { params: { id } });
      context.answer(device, `Revoked: ${line(device)}`);
    });
}
