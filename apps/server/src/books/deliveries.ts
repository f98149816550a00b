import { Injectable } from '@nestjs/common';
import type { Delivery, JournalEntry, LiquidFigures } from '@rundlet/contracts';
import { estimateDuty, litresPureAlcoholOfMg } from '@rundlet/domain';
import { History } from '../journal/history.ts';
import { AccountTermsOf, inForce } from './account-terms.ts';
import { Returns, type Scope } from './returns.ts';

interface Delivered {
  readonly to: string;
  readonly figures: LiquidFigures;
}

/** Spirit that left duty suspension, delivered or released in its cask, with the duty they would owe: an estimate by the terms the site entered. */
@Injectable()
export class Deliveries {
  constructor(
    private readonly returns: Returns,
    private readonly history: History,
    private readonly terms: AccountTermsOf,
  ) {}

  async between(from: string, to: string, scope: Scope): Promise<Delivery[]> {
    const versions = await this.terms.versions();
    const lines = await this.returns.postings({
      from,
      to,
      cause: ['delivered', 'released'],
      ...scope,
    });
    const entries = await this.history.byId(lines.map((line) => line.entryId));
    const reversed = await this.history.byId([...entries.values()].flatMap(reversedBy));
    return lines.flatMap(({ entryId, at, month, accountId, ethanolMg }) => {
      const entry = entries.get(entryId);
      const [original] = entry ? reversedBy(entry) : [];
      const delivered = deliveredBy(original === undefined ? entry : reversed.get(original));
      if (!delivered) return [];
      const sign = ethanolMg > 0 ? -1 : 1;
      const { bulkLitresAt20C, strengthPercentVol } = delivered.figures;
      const version = inForce(versions, at.slice(0, 10));
      const duty = version?.terms.duty ? estimateDuty(delivered.figures, version.terms.duty) : null;
      return {
        entryId,
        at,
        month,
        accountId,
        to: delivered.to,
        bulkLitresAt20C: sign * bulkLitresAt20C,
        strengthPercentVol,
        litresPureAlcohol: -litresPureAlcoholOfMg(ethanolMg),
        estimate:
          duty && version
            ? {
                ...duty,
                litresPureAlcohol: sign * duty.litresPureAlcohol,
                amount: sign * duty.amount,
                termsFrom: version.effectiveFrom,
              }
            : null,
      };
    });
  }
}

/** The entry that another takes back, if it does. */
const reversedBy = ({ kind, body }: JournalEntry): string[] =>
  kind === 'entry.reverse' ? [String(body['entryId'])] : [];

/** A delivery says to whom, a release by what paper. */
interface Told {
  readonly to?: string;
  readonly reference?: string;
}

/** What an entry delivered, also where it was held at first. */
function deliveredBy(entry: JournalEntry | undefined): Delivered | null {
  if (!entry) return null;
  const { retried } = entry.outcome as {
    retried?: { act: { body: Told }; outcome: { figures: LiquidFigures } };
  };
  const [{ to, reference }, outcome] = retried
    ? [retried.act.body, retried.outcome]
    : [entry.body as Told, entry.outcome as { figures?: LiquidFigures }];
  return outcome.figures
    ? { to: to ?? `duty-paid in its cask, ${reference ?? ''}`, figures: outcome.figures }
    : null;
}
