import { Controller, Inject, Req, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf, type Person } from '@rundlet/contracts';
import type { Response } from 'express';
import type { Actor, RundletRequest } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { Log } from '../platform/log.ts';
import { Unauthenticated } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { Devices } from './devices.ts';
import { FirstAdministrator } from './first-administrator.ts';
import { SESSION_COOKIE, sessionSecretOf } from './identify.ts';
import { People } from './people.ts';
import { csrfTokenOf } from './secrets.ts';
import { SESSION_LASTS_MS, Sessions } from './sessions.ts';
import { SignInLimits } from './sign-in-limits.ts';

const { session } = api;

@Controller()
export class SessionController {
  constructor(
    private readonly people: People,
    private readonly sessions: Sessions,
    private readonly devices: Devices,
    private readonly limits: SignInLimits,
    private readonly firstAdministrator: FirstAdministrator,
    private readonly log: Log,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  @Serves(session.signIn)
  async signIn(
    @Input() { body }: InputOf<typeof session.signIn>,
    @Req() request: RundletRequest,
    @Res({ passthrough: true }) response: Response,
  ): Promise<AnswerOf<typeof session.signIn>> {
    const signInName = body.signInName.trim().toLowerCase().slice(0, 60);
    const attempt = await this.limits.begin(signInName, request.ip ?? 'unknown');
    const person = await this.people.withPassword(signInName, body.password);
    const message = person ? 'sign-in' : 'sign-in refused';
    this.log.info(message, { signInName, address: request.ip });
    if (!person) throw new Unauthenticated('The name or the password is wrong.');
    await this.limits.succeeded(attempt);
    const secret = await this.sessions.begin(person.id);
    response.cookie(SESSION_COOKIE, secret, { ...this.cookie(), maxAge: SESSION_LASTS_MS });
    return this.view(person, csrfTokenOf(secret));
  }

  @Serves(session.me)
  async me(
    @Input() _: InputOf<typeof session.me>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.me>> {
    const { id, name, signInName, roles } = by;
    return this.view(
      { id, name, signInName, roles: [...roles], disabled: false },
      by.csrfToken ?? '',
    );
  }

  @Serves(session.signOut)
  async signOut(
    @Input() _: InputOf<typeof session.signOut>,
    @Req() request: RundletRequest,
    @Res({ passthrough: true }) response: Response,
  ): Promise<AnswerOf<typeof session.signOut>> {
    const secret = sessionSecretOf(request);
    if (secret) await this.sessions.end(secret);
    response.clearCookie(SESSION_COOKIE, this.cookie());
    return {};
  }

  @Serves(session.setUp)
  setUp(
    @Input() { body: { token, ...person } }: InputOf<typeof session.setUp>,
  ): Promise<AnswerOf<typeof session.setUp>> {
    return this.firstAdministrator.make(token, person);
  }

  @Serves(session.people)
  async listPeople(): Promise<AnswerOf<typeof session.people>> {
    return { rows: await this.people.all() };
  }

  @Serves(session.addPerson)
  async addPerson(
    @Input() { body }: InputOf<typeof session.addPerson>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.addPerson>> {
    const person = await this.people.add(body);
    this.log.info('person added', { personId: person.id, roles: person.roles, by: by.id });
    return person;
  }

  @Serves(session.changePerson)
  async changePerson(
    @Input() { params, body }: InputOf<typeof session.changePerson>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.changePerson>> {
    const person = await this.people.change(params.id, body);
    const changed = Object.keys(body);
    this.log.info('person changed', { personId: person.id, changed, by: by.id });
    return person;
  }

  @Serves(session.devices)
  async listDevices(): Promise<AnswerOf<typeof session.devices>> {
    return { rows: await this.devices.all() };
  }

  @Serves(session.addDevice)
  async addDevice(
    @Input() { body }: InputOf<typeof session.addDevice>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.addDevice>> {
    const issued = await this.devices.issue(body.label, body.roles, by.id);
    this.log.info('device token issued', { deviceId: issued.device.id, by: by.id });
    return issued;
  }

  @Serves(session.revokeDevice)
  async revokeDevice(
    @Input() { params }: InputOf<typeof session.revokeDevice>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.revokeDevice>> {
    const device = await this.devices.revoke(params.id);
    this.log.info('device token revoked', { deviceId: device.id, by: by.id });
    return device;
  }

  private view(person: Person, csrfToken: string): AnswerOf<typeof session.me> {
    const { estateName, companyPrefix, demo } = this.settings;
    return { person, csrfToken, estateName, companyPrefix, demo };
  }

  private cookie() {
    const secure =
      this.settings.tls !== null || this.settings.origin?.startsWith('https:') === true;
    return { httpOnly: true, sameSite: 'lax', secure, path: '/' } as const;
  }
}
