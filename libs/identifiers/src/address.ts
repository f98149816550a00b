/** The address a cask's QR code holds. */
import { checkCode } from './code.ts';
import { buildDigitalLink } from './digital-link.ts';

/** What a code may stand for in an address: our own printed code, or the asset's GS1 key where the estate has one. */
export type Identity = { code: string } | { giai: string } | { grai: string };

/**
 * The address of a cask's card, all in upper case so that a QR code may use its compact alphanumeric
 * mode: `HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/C00006E4`, or `…/8004/<GIAI>` in GS1 Digital Link form. Scheme and host
 * are the same in either case (RFC 3986 section 6.2.2.1), so any phone opens it.
 *
 * `origin` is the estate's own address: scheme, host, optional port, and at most a stem of `0-9 A-Z - .` segments.
 * A GIAI or GRAI is used as it is given; with lower-case letters it still works but the QR code grows.
 */
export function caskUrl({ origin, ...identity }: { origin: string } & Identity): string {
  const base = upperCaseOrigin(origin);
  if ('giai' in identity) return buildDigitalLink(base, [{ ai: '8004', value: identity.giai }]);
  if ('grai' in identity) return buildDigitalLink(base, [{ ai: '8003', value: identity.grai }]);
  return codeUrl(origin, identity.code);
}

/** The address of anything with a code of ours: the path's first letter is the code's kind letter. */
export function codeUrl(origin: string, code: string): string {
  const check = checkCode(code);
  if (check.status !== 'ok') throw new RangeError(`"${code}" is not a code: ${check.status}.`);
  return `${upperCaseOrigin(origin)}/${check.code.charAt(0)}/${check.code}`;
}

/** Whether a QR code can hold `text` in alphanumeric mode (ISO/IEC 18004): 5.5 bits a character instead of 8. */
export const isQrAlphanumeric = (text: string): boolean => /^[0-9A-Z $%*+\-./:]*$/.test(text);

function upperCaseOrigin(origin: string): string {
  const parts = /^(https?:\/\/[a-z0-9.-]+(?::\d{1,5})?)((?:\/[0-9A-Z.-]+)*)\/?$/.exec(
    origin.replace(/^[^/]*\/\/[^/]*/, (start) => start.toLowerCase()),
  );
  if (!parts)
    throw new RangeError(
      `"${origin}" cannot stand on a label: give http(s)://host[:port], with at most a path of 0-9, A-Z, - and dots.`,
    );
  return (parts[1] as string).toUpperCase() + (parts[2] as string);
}
