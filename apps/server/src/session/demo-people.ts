import { randomInt } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Injectable } from '@nestjs/common';
import type { Role } from '@rundlet/contracts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { People } from './people.ts';

export interface DemoSignIn {
  readonly signInName: string;
  readonly name: string;
  readonly roles: readonly Role[];
  readonly password: string;
}

/** Invented people of an invented estate, one for each kind of work. */
const PEOPLE: readonly Omit<DemoSignIn, 'password'>[] = [
  { signInName: 'keeper', name: 'Maren Tideway', roles: ['keep'] },
  { signInName: 'blender', name: 'Oswin Pellam', roles: ['blend'] },
  { signInName: 'operative', name: 'Tamsin Arrowby', roles: ['warehouse'] },
  { signInName: 'clerk', name: 'Corin Valeside', roles: ['read'] },
  { signInName: 'administrator', name: 'Edda Marlowe-Finch', roles: ['administer'] },
];

const WORDS =
  'amber anchor barley beacon bellows birch bramble brine cedar cinder clover cobble copper cove cradle drift ember fathom fennel ferry finch gannet gorse harbour hazel heron jetty kestrel lantern larch limpet linnet lobster marram meadow millet mortar mussel nettle orchard osprey otter paddle pebble pewter plover quarry quince rafter rowan saddle samphire sedge shingle sorrel spruce staves tallow tansy thistle timber tinder turnip walnut willow'.split(
    ' ',
  );

/** Sign-ins of the demo: their passwords are made at random once and kept in a file, so that each start can print them. */
@Injectable()
export class DemoPeople {
  constructor(
    private readonly people: People,
    private readonly work: UnitOfWork,
  ) {}

  ensure(dataFolder: string): Promise<readonly DemoSignIn[]> {
    return this.work.alone('demo-people', () => this.#ensure(dataFolder));
  }

  async #ensure(dataFolder: string): Promise<readonly DemoSignIn[]> {
    const file = join(dataFolder, 'demo-sign-ins.json');
    const isKept = existsSync(file);
    const signIns = isKept
      ? (JSON.parse(readFileSync(file, 'utf8')) as DemoSignIn[])
      : PEOPLE.map((person) => ({ ...person, password: newPassword() }));
    for (const signIn of signIns) {
      const known = await this.people.bySignInName(signIn.signInName);
      if (!known) await this.people.add(signIn);
      else if (!isKept) await this.people.change(known.id, { password: signIn.password });
    }
    if (!isKept) writeFileSync(file, `${JSON.stringify(signIns, null, 2)}\n`, { mode: 0o600 });
    return signIns;
  }
}

const newPassword = (): string =>
  `${Array.from({ length: 4 }, () => WORDS[randomInt(WORDS.length)]).join('-')}-${String(randomInt(10, 100))}`;
