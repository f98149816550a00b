import { Injectable } from '@nestjs/common';
import { AccountTerms, TERMS_SETTING, type TermsFrom } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';

/** What the authority has set for the account, as the site entered it. */
@Injectable()
export class AccountTermsOf {
  constructor(private readonly records: Records) {}

  /** Newest first. */
  async versions(): Promise<TermsFrom[]> {
    const settings = await this.records.where(
      'setting',
      sql`"id" LIKE ${`${TERMS_SETTING}@%`}`,
      sql`"effectiveFrom" DESC`,
    );
    return settings.flatMap(({ effectiveFrom, value }) => {
      const terms = AccountTerms.safeParse(value);
      return terms.success ? { effectiveFrom, terms: terms.data } : [];
    });
  }
}

/** The version in force on a day, of versions with the newest first. */
export const inForce = (versions: readonly TermsFrom[], on: string): TermsFrom | null =>
  versions.find(({ effectiveFrom }) => effectiveFrom <= on) ?? null;
