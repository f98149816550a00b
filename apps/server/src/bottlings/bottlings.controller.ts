import { Controller, Inject, Res } from '@nestjs/common';
import { api, type AnswerOf, type BottlingRun, type InputOf } from '@rundlet/contracts';
import {
  BOTTLING_FACTS,
  BottlingFact,
  BottlingStatement,
  canonicalJson,
  signStatement,
  unverifiedPayload,
  type BottlingStory,
} from '@rundlet/statements';
import type { Response } from 'express';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Records } from '../database/records.ts';
import { ActDoor } from '../journal/act-door.ts';
import { Checkpoints } from '../journal/checkpoints.ts';
import { SigningKeys } from '../journal/signing-keys.ts';
import { qrPicture } from '../labels/qr-picture.ts';
import { PROGRAM, type Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { By, Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { InvalidRequest } from '../platform/problem.ts';
import { NotFound } from '../platform/refusals.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';
import { runAddress } from './run-address.ts';
import { Stories } from './story.ts';

const { bottlings } = api;

@Controller()
export class BottlingsController {
  constructor(
    private readonly records: Records,
    private readonly stories: Stories,
    private readonly door: ActDoor,
    private readonly keys: SigningKeys,
    private readonly checkpoints: Checkpoints,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  @Serves(bottlings.runs)
  runs(
    @Input() { query }: InputOf<typeof bottlings.runs>,
  ): Promise<AnswerOf<typeof bottlings.runs>> {
    return this.records.page('bottling-run', { column: 'at', direction: 'desc' }, query);
  }

  @Serves(bottlings.run)
  async run(
    @Input() { params }: InputOf<typeof bottlings.run>,
  ): Promise<AnswerOf<typeof bottlings.run>> {
    const run = await this.records.need('bottling-run', params.id);
    const story = await this.stories.of(run);
    return {
      run,
      story,
      address: this.addressOf(run),
      correctedSince: correctedSince(run.statement, story),
    };
  }

  @Serves(bottlings.publish)
  async publish(
    @Input() { params, body }: InputOf<typeof bottlings.publish>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof bottlings.publish>> {
    const facts = body.facts.map((fact, i) => {
      const known = BottlingFact.safeParse(fact);
      if (known.success) return known.data;
      throw new InvalidRequest([
        { path: ['body', 'facts', i], message: `must be one of ${BOTTLING_FACTS.join(', ')}` },
      ]);
    });
    const run = await this.records.need('bottling-run', params.id);
    const story = await this.stories.of(run, facts);
    // Signed after the run was entered: the checkpoint covers it.
    const checkpoint = await this.checkpoints.sign(by);
    const statement: BottlingStatement = {
      says: 'bottling',
      estate: this.settings.estateName,
      run: run.code,
      name: run.name,
      bottledOn: run.at.slice(0, 10),
      bottles: run.bottles,
      bottleMl: run.bottleMl,
      strengthPercentVol: run.labelStrengthPercentVol,
      told: Object.fromEntries(facts.map((fact) => [fact, story[fact]])),
      withheld: BOTTLING_FACTS.filter((fact) => !facts.includes(fact)),
      checkpoint: checkpoint.statement,
    };
    await this.door.submit(
      {
        id: uuid(),
        kind: 'bottling.publish',
        happenedAt: this.clock.instant(),
        body: { runId: run.id, statement: signStatement(statement, await this.keys.signer()) },
      },
      { ...PROGRAM, id: by.id },
    );
    return this.records.need('bottling-run', run.id);
  }

  @Serves(bottlings.code)
  async code(
    @Input() { params }: InputOf<typeof bottlings.code>,
    @Res() response: Response,
  ): Promise<void> {
    const run = await this.records.need('bottling-run', params.id);
    sendFile(response, {
      name: `bottling-${run.code.replaceAll('/', '-')}.svg`,
      contentType: 'image/svg+xml',
      content: qrPicture(this.addressOf(run)),
    });
  }

  @Serves(bottlings.told)
  async told(
    @Input() { params }: InputOf<typeof bottlings.told>,
  ): Promise<AnswerOf<typeof bottlings.told>> {
    const [run] = await this.records.where('bottling-run', sql`"code" = ${params.code}`);
    // Whether there is an unpublished run of this code is nobody's business.
    if (!run?.statement) throw new NotFound(`Nothing is published of a bottling ${params.code}.`);
    return {
      statement: run.statement,
      keys: await this.keys.all(),
      correctedSince: correctedSince(run.statement, await this.stories.of(run)),
    };
  }

  private addressOf(run: BottlingRun): string {
    return runAddress(run, originOf(this.settings));
  }
}

/** Facts that follow from the chain's records alone; the others may change as casks leave and loggers read on. */
const OF_THE_CHAIN = ['plots', 'varieties', 'harvests', 'still-runs'] as const;

function correctedSince(statement: string | null, story: BottlingStory): string[] {
  const said = BottlingStatement.safeParse(unverifiedPayload(statement ?? ''));
  if (!said.success) return [];
  const { told } = said.data;
  return OF_THE_CHAIN.filter(
    (fact) => fact in told && canonicalJson(told[fact]) !== canonicalJson(story[fact]),
  );
}
