import { z } from 'zod';
import { endpoint, ById } from '../endpoint.ts';
import { Id, Instant, Name } from '../primitives.ts';
import { Role } from '../roles.ts';

export const Person = z.strictObject({
  id: Id,
  signInName: z.string(),
  name: Name,
  roles: z.array(Role),
  disabled: z.boolean(),
});
export type Person = z.infer<typeof Person>;
/** A person as the list of people shows them. */
export const ListedPerson = Person.extend({ secondStep: z.boolean() });
export type ListedPerson = z.infer<typeof ListedPerson>;
/** Six digits of an authenticator (RFC 6238), or one of the recovery codes. */
const SecondStepCode = z.string().trim().min(6, 'is too short for a code').max(40);
/** NIST SP 800-63B-4: at least 15 characters where a password is the only factor. */
const Password = z
  .string()
  .min(15, 'must be at least 15 characters; a few unrelated words are good')
  .max(200);
const SignInName = z
  .string()
  .trim()
  .toLowerCase()
  .min(2)
  .max(60)
  .regex(/^[a-z0-9][a-z0-9._@-]*$/, 'letters, digits, dot, hyphen and @ only');

export const Session = z.strictObject({
  person: Person,
  csrfToken: z.string(),
  estateName: z.string(),
  /** The estate's GS1 company prefix, when it has been given one. */
  companyPrefix: z.string().nullable(),
  demo: z.boolean(),
});
export type Session = z.infer<typeof Session>;
export const DeviceToken = z.strictObject({
  id: Id,
  label: Name,
  roles: z.array(Role),
  createdAt: Instant,
  lastUsedAt: Instant.nullable(),
  revoked: z.boolean(),
});
export type DeviceToken = z.infer<typeof DeviceToken>;

export const sessionApi = {
  signIn: endpoint({
    method: 'POST',
    path: '/api/session',
    summary: 'Sign in with a name and password',
    access: 'public',
    body: z.strictObject({
      signInName: z.string(),
      password: z.string(),
      /** asked for by a refusal with the code `second-step-needed` */
      secondStep: SecondStepCode.optional(),
    }),
    response: Session,
  }),
  me: endpoint({
    method: 'GET',
    path: '/api/session',
    summary: 'Who is signed in',
    access: 'signed-in',
    response: Session,
  }),
  signOut: endpoint({
    method: 'DELETE',
    path: '/api/session',
    summary: 'Sign out',
    access: 'signed-in',
    response: z.strictObject({}),
  }),
  secondStep: endpoint({
    method: 'GET',
    path: '/api/session/second-step',
    summary: 'Whether signing in asks for a code as well',
    access: 'signed-in',
    response: z.strictObject({ on: z.boolean(), recoveryCodesLeft: z.int() }),
  }),
  beginSecondStep: endpoint({
    method: 'POST',
    path: '/api/session/second-step',
    summary: 'Make a secret for an authenticator; it counts once a code of it was shown',
    access: 'signed-in',
    body: z.strictObject({ password: z.string() }),
    response: z.strictObject({
      secret: z.string(),
      uri: z.string(),
      /** the URI as a QR code, SVG */
      picture: z.string(),
    }),
  }),
  confirmSecondStep: endpoint({
    method: 'POST',
    path: '/api/session/second-step/confirm',
    summary: 'Show that the authenticator holds the secret; answers with recovery codes, once',
    access: 'signed-in',
    body: z.strictObject({ code: SecondStepCode }),
    response: z.strictObject({ recoveryCodes: z.array(z.string()) }),
  }),
  endSecondStep: endpoint({
    method: 'POST',
    path: '/api/session/second-step/end',
    summary: 'Sign in by password alone again',
    access: 'signed-in',
    body: z.strictObject({ password: z.string(), code: SecondStepCode }),
    response: z.strictObject({}),
  }),
  changePassword: endpoint({
    method: 'POST',
    path: '/api/session/password',
    summary: 'Change one’s own password; every session of it ends',
    access: 'signed-in',
    body: z.strictObject({ password: z.string(), newPassword: Password }),
    response: z.strictObject({}),
  }),
  setUp: endpoint({
    method: 'POST',
    path: '/api/first-administrator',
    summary: 'Make the first administrator with the one-time link',
    access: 'public',
    body: z.strictObject({
      token: z.string(),
      signInName: SignInName,
      name: Name,
      password: Password,
    }),
    response: Person,
  }),
  people: endpoint({
    method: 'GET',
    path: '/api/people',
    summary: 'People who may sign in',
    access: 'administer',
    response: z.strictObject({ rows: z.array(ListedPerson) }),
  }),
  addPerson: endpoint({
    method: 'POST',
    path: '/api/people',
    summary: 'Add a person',
    access: 'administer',
    body: z.strictObject({
      signInName: SignInName,
      name: Name,
      roles: z.array(Role).min(1),
      password: Password,
    }),
    response: Person,
  }),
  changePerson: endpoint({
    method: 'POST',
    path: '/api/people/:id',
    summary: 'Change roles, name or password, or disable',
    access: 'administer',
    params: ById,
    body: z.strictObject({
      name: Name.optional(),
      roles: z.array(Role).min(1).optional(),
      password: Password.optional(),
      disabled: z.boolean().optional(),
      /** takes the second step off, for a lost phone */
      secondStep: z.literal(false).optional(),
    }),
    response: Person,
  }),
  devices: endpoint({
    method: 'GET',
    path: '/api/device-tokens',
    summary: 'Device tokens',
    access: 'administer',
    response: z.strictObject({ rows: z.array(DeviceToken) }),
  }),
  addDevice: endpoint({
    method: 'POST',
    path: '/api/device-tokens',
    summary: 'Issue a device token; the secret is shown once',
    access: 'administer',
    body: z.strictObject({ label: Name, roles: z.array(Role).min(1) }),
    response: z.strictObject({ device: DeviceToken, secret: z.string() }),
  }),
  revokeDevice: endpoint({
    method: 'DELETE',
    path: '/api/device-tokens/:id',
    summary: 'Revoke a device token',
    access: 'administer',
    params: ById,
    response: DeviceToken,
  }),
};
