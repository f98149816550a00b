import { Controller, Inject, Req, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf, type Person } from '@rundlet/contracts';
import type { Response } from 'express';
import { qrPicture } from '../labels/qr-picture.ts';
import type { Actor, RundletRequest } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { Log } from '../platform/log.ts';
import { Forbidden, Refusal, Unauthenticated } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { Devices } from './devices.ts';
import { FirstAdministrator } from './first-administrator.ts';
import { SESSION_COOKIE, sessionSecretOf } from './identify.ts';
import { People } from './people.ts';
import { SecondStep, wrongCode } from './second-step.ts';
import { csrfTokenOf } from './secrets.ts';
import { SESSION_LASTS_MS, Sessions } from './sessions.ts';
import { SignInLimits } from './sign-in-limits.ts';

const { session } = api;

@Controller()
export class SessionController {
  constructor(
    private readonly people: People,
    private readonly sessions: Sessions,
    private readonly secondStep: SecondStep,
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
    await this.requireSecondStep(person, body.secondStep);
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

  @Serves(session.secondStep)
  async secondStepOf(
    @Input() _: InputOf<typeof session.secondStep>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.secondStep>> {
    return this.secondStep.of(by.id);
  }

  @Serves(session.beginSecondStep)
  async beginSecondStep(
    @Input() { body }: InputOf<typeof session.beginSecondStep>,
    @By() by: Actor,
    @Req() request: RundletRequest,
  ): Promise<AnswerOf<typeof session.beginSecondStep>> {
    await this.requireAgain(by, request, body.password);
    const begun = await this.secondStep.begin(by.id, by.signInName);
    return { ...begun, picture: qrPicture(begun.uri) };
  }

  @Serves(session.confirmSecondStep)
  async confirmSecondStep(
    @Input() { body }: InputOf<typeof session.confirmSecondStep>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof session.confirmSecondStep>> {
    const recoveryCodes = await this.secondStep.confirm(by.id, body.code);
    this.log.info('second step on', { personId: by.id });
    return { recoveryCodes };
  }

  @Serves(session.endSecondStep)
  async endSecondStep(
    @Input() { body }: InputOf<typeof session.endSecondStep>,
    @By() by: Actor,
    @Req() request: RundletRequest,
  ): Promise<AnswerOf<typeof session.endSecondStep>> {
    await this.requireAgain(by, request, body.password, body.code);
    await this.secondStep.end(by.id);
    this.log.info('second step off', { personId: by.id, by: by.id });
    return {};
  }

  @Serves(session.changePassword)
  async changePassword(
    @Input() { body }: InputOf<typeof session.changePassword>,
    @By() by: Actor,
    @Req() request: RundletRequest,
  ): Promise<AnswerOf<typeof session.changePassword>> {
    await this.requireAgain(by, request, body.password);
    await this.people.change(by.id, { password: body.newPassword });
    this.log.info('password changed', { personId: by.id, by: by.id });
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
    const holders = await this.secondStep.holders();
    const people = await this.people.all();
    return { rows: people.map((person) => ({ ...person, secondStep: holders.has(person.id) })) };
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
    const { secondStep, ...change } = body;
    const person = await this.people.change(params.id, change);
    if (secondStep === false) await this.secondStep.end(person.id);
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

  /** @throws Unauthenticated with a code of its own that tells a screen to ask for the second step */
  private async requireSecondStep(person: Person, code: string | undefined): Promise<void> {
    if (!(await this.secondStep.of(person.id)).on) return;
    if (code === undefined)
      throw new Refusal(
        401,
        'second-step-needed',
        'A code of your authenticator is needed as well, or one of your recovery codes.',
      );
    if (await this.secondStep.take(person.id, code)) return;
    this.log.info('second step refused', { personId: person.id });
    throw new Refusal(401, 'second-step-wrong', wrongCode().message);
  }

  /** Whoever changes how they sign in shows first that it is still they. Tries count as at signing in. */
  private async requireAgain(
    by: Actor,
    request: RundletRequest,
    password: string,
    code?: string,
  ): Promise<void> {
    if (by.kind !== 'person')
      throw new Forbidden('A device signs in by its token: revoke it and issue another.');
    const attempt = await this.limits.begin(by.signInName, request.ip ?? 'unknown');
    if (!(await this.people.withPassword(by.signInName, password)))
      throw new Refusal(422, 'password-wrong', 'The password is wrong.');
    if (code !== undefined && !(await this.secondStep.take(by.id, code))) throw wrongCode();
    await this.limits.succeeded(attempt);
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
