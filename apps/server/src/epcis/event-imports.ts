import { createHash } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { Act, type EpcisImportReport } from '@rundlet/contracts';
import { DomainError, submitAct, type SubmitContext } from '@rundlet/domain';
import { ownIdentifier, readDocument, upstreamAct, type ReadDocument } from '@rundlet/epcis';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { ActDoor } from '../journal/act-door.ts';
import type { Actor } from '../platform/actor.ts';
import { InvalidRequest } from '../platform/problem.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';

/** Nothing of the document is kept, because of these. */
class EventsRefused extends Error {
  readonly report: EpcisImportReport;
  constructor(report: EpcisImportReport) {
    super('The document has events that are refused.');
    this.report = report;
  }
}

/** Events of a farm or still house as acts: all of them or none. */
@Injectable()
export class EventImports {
  constructor(
    private readonly door: ActDoor,
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** @throws InvalidRequest when it is not EPCIS 2.0 in JSON-LD */
  async run(document: unknown, apply: boolean, by: Actor): Promise<EpcisImportReport> {
    const read = readOrRefuse(document);
    if (!apply) return this.submit(read, this.door.context(this.reader, by));
    try {
      return await this.work.write(async (tx) => {
        const context = this.door.context(tx, by);
        const report = await this.submit(read, context);
        if (report.refused.length > 0) throw new EventsRefused(report);
        await context.records.flush(tx);
        await context.journal.flush(tx);
        return { ...report, applied: true };
      }, 'journal');
    } catch (error) {
      if (error instanceof EventsRefused) return error.report;
      throw error;
    }
  }

  private async submit(read: ReadDocument, context: SubmitContext): Promise<EpcisImportReport> {
    const report: EpcisImportReport = {
      events: read.events.length + read.unread.length,
      taken: [],
      known: [],
      left: [...read.unread],
      refused: [],
      applied: false,
    };
    const upstream = {
      idFor: idFrom,
      known: async (
        uri: string,
        kind: 'plot' | 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot',
      ) => {
        const own = ownIdentifier(originOf(this.settings), uri);
        if (own)
          return own.kind === kind ? context.records.idByUnique(kind, 'code', own.code) : null;
        const id = idFrom(uri);
        return (await context.records.get(kind, id)) ? id : null;
      },
    };
    for (const [i, event] of read.events.entries()) {
      const index = read.indexes[i] ?? i;
      const taken = await upstreamAct(event, upstream);
      if (taken.status === 'left') {
        report.left.push({ index, reason: taken.reason });
        continue;
      }
      const { act, makes } = taken;
      if (await upstream.known(makes, MAKES[act.kind])) {
        report.known.push({ index, makes });
        continue;
      }
      const parsed = Act.safeParse(act);
      try {
        if (!parsed.success) throw new RangeError(parsed.error.issues[0]?.message ?? 'not an act');
        await submitAct(parsed.data, context);
        report.taken.push({ index, kind: act.kind, makes });
      } catch (error) {
        if (!(error instanceof DomainError || error instanceof RangeError)) throw error;
        report.refused.push({ index, reason: error.message });
      }
    }
    report.left.sort((a, b) => a.index - b.index);
    return report;
  }
}

const MAKES = {
  'harvest.record': 'harvest-lot',
  'ferment.record': 'ferment',
  'still-run.record': 'still-run',
  'spirit-lot.record': 'spirit-lot',
} as const;

/** A UUID of version 8 (RFC 9562: of the maker's own making) from a text: the same text, the same id. */
function idFrom(text: string): string {
  const bytes = createHash('sha256').update(`rundlet epcis ${text}`).digest().subarray(0, 16);
  bytes[6] = 0x80 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  return bytes.toString('hex').replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

function readOrRefuse(document: unknown): ReadDocument {
  try {
    return readDocument(document);
  } catch (error) {
    if (error instanceof RangeError)
      throw new InvalidRequest([{ path: ['body', 'document'], message: error.message }]);
    throw error;
  }
}
