import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';

/**
 * scrypt (RFC 7914) with N = 2^15, r = 8, p = 3: 32 MiB and about a fifth of a second a try on a small server. It is one of the
 * equivalent settings of the OWASP Password Storage Cheat Sheet; the larger ones would let a few sign-ins at once fill the
 * memory. The cost is stored with each hash, so that it can be raised later.
 */
export const PASSWORD_COST: PasswordCost = { logN: 15, r: 8, p: 3 };
export interface PasswordCost {
  readonly logN: number;
  readonly r: number;
  readonly p: number;
}
const SALT_BYTES = 16;
const KEY_BYTES = 32;
/** Hashes at a time; others wait, so that a flood of sign-ins takes time and not memory. */
const MOST_AT_ONCE = 2;

export async function hashPassword(password: string, cost = PASSWORD_COST): Promise<string> {
  const salt = randomBytes(SALT_BYTES);
  const key = await derive(password, salt, cost);
  const { logN, r, p } = cost;
  return ['scrypt', logN, r, p, salt.toString('base64url'), key.toString('base64url')].join('$');
}

export async function isPassword(password: string, stored: string): Promise<boolean> {
  const [scheme, logN, r, p, salt, key] = stored.split('$');
  if (scheme !== 'scrypt' || !salt || !key) throw new Error('This is not a stored password.');
  const cost = { logN: Number(logN), r: Number(r), p: Number(p) };
  const expected = Buffer.from(key, 'base64url');
  return timingSafeEqual(await derive(password, Buffer.from(salt, 'base64url'), cost), expected);
}

/** Takes as long as {@link isPassword}: for a name nobody has, so that the time does not tell. */
export async function pretendToCheck(password: string, cost = PASSWORD_COST): Promise<false> {
  await derive(password, Buffer.alloc(SALT_BYTES), cost);
  return false;
}

let running = 0;
const waiting: (() => void)[] = [];

async function derive(password: string, salt: Buffer, cost: PasswordCost): Promise<Buffer> {
  if (running >= MOST_AT_ONCE) await new Promise<void>((go) => waiting.push(go));
  else running += 1;
  try {
    return await new Promise((resolve, reject) => {
      const { logN, r, p } = cost;
      const options = { N: 2 ** logN, r, p, maxmem: 256 * 2 ** logN * r };
      // Composed form, so that the same letters typed on another keyboard are the same password.
      scrypt(password.normalize('NFC'), salt, KEY_BYTES, options, (error, key) => {
        if (error) reject(error);
        else resolve(key);
      });
    });
  } finally {
    const next = waiting.shift();
    // A waiting one takes over this one's place, so the count stays.
    if (next) next();
    else running -= 1;
  }
}
