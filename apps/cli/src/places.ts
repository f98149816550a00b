import type { Client } from '@rundlet/client';
import { api, type Store, type Zone } from '@rundlet/contracts';
import { EXIT, Failure } from './failure.ts';

/** A zone by the code people know it by. @throws Failure naming the codes there are */
export async function zoneByCode(client: Client, code: string): Promise<Zone> {
  const { rows } = await client.call(api.places.stores);
  const zones = rows.flatMap((row) => row.zones.map(({ zone }) => zone));
  return found(zones, code, 'zone');
}

export async function storeByCode(client: Client, code: string): Promise<Store> {
  const { rows } = await client.call(api.places.stores);
  return found(
    rows.map(({ store }) => store),
    code,
    'store',
  );
}

export async function vatByCode(
  client: Client,
  code: string,
): Promise<{ id: string; code: string }> {
  const { rows } = await client.call(api.places.vats);
  return found(
    rows.map(({ vat }) => vat),
    code,
    'vat',
  );
}

function found<T extends { readonly code: string }>(
  things: readonly T[],
  code: string,
  what: string,
): T {
  const thing = things.find((t) => t.code === code.toUpperCase());
  if (thing !== undefined) return thing;
  const known = things.map((t) => t.code).join(', ');
  throw new Failure(
    `There is no ${what} ${code}; there are ${known === '' ? 'none' : known}.`,
    EXIT.usage,
  );
}

/** The cask that a code, alias or scanned text leads to. */
export async function caskByText(
  client: Client,
  text: string,
): Promise<{ id: string; code: string }> {
  const answer = await client.call(api.casks.scan, { query: { text } });
  const casks = answer.matches.filter((match) => match.kind === 'cask');
  const [cask] = casks;
  if (cask !== undefined && casks.length === 1) return cask;
  const near = answer.nearest.map((n) => n.code).join(', ');
  throw new Failure(
    `${answer.message}${near === '' ? '' : ` Near: ${near}.`}`,
    EXIT.refused,
    answer,
  );
}
