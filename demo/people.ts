import { ACT_ROLE, type Act, type Role } from '@rundlet/contracts';

/** A person of the demo's server, as its file of sign-ins tells. */
export interface SignIn {
  readonly signInName: string;
  readonly password: string;
  readonly roles: readonly Role[];
}

/** Who writes which act down at Harrow Point: whoever has the least role that may. */
export function actorOf(act: Act, signIns: readonly SignIn[]): string {
  const role = ACT_ROLE[act.kind];
  const person = signIns.find((signIn) => signIn.roles.includes(role));
  if (person === undefined) throw new RangeError(`nobody at Harrow Point may do ${act.kind}`);
  return person.signInName;
}
