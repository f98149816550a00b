import { Inject, Injectable } from '@nestjs/common';
import type { ScanAnswer } from '@rundlet/contracts';
import {
  displayCode,
  normaliseCode,
  parseScan,
  type Candidate,
  type Scan,
} from '@rundlet/identifiers';
import sql, { join, type Sql } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';
import { nearExistingCodes } from './near-codes.ts';

type Match = ScanAnswer['matches'][number];

/** What a scanned or typed text leads to. */
@Injectable()
export class ScanLookUp {
  constructor(
    private readonly reader: Reader,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  async answer(text: string): Promise<ScanAnswer> {
    const { companyPrefix } = this.settings;
    const scan = parseScan(text, {
      origins: [originOf(this.settings)],
      ...(companyPrefix === null ? {} : { companyPrefixes: [companyPrefix] }),
    });
    for (const candidate of scan.candidates) {
      const matches = await this.byCandidate(candidate);
      if (matches.length > 0) return found(matches, assumptionOf(candidate));
    }
    // A cooper's or owner's number, an older label, a place whose code the estate chose itself.
    const others = await this.byText(scan.text);
    if (others.length > 0) return found(others, '');
    return this.nothing(scan);
  }

  private async byCandidate(candidate: Candidate): Promise<Match[]> {
    if (candidate.kind === 'gs1') return this.casks(sql`c."giai" = ${candidate.code}`);
    const byCode = await this.byCode(candidate.code);
    // A spare label, or one that another cask code was on before: ours, in whatever wrapping, but an alias.
    return byCode.length > 0 ? byCode : this.byAlias([candidate.code]);
  }

  private byAlias(values: readonly string[]): Promise<Match[]> {
    return this.casks(
      sql`c."id" IN (SELECT "ownerId" FROM "cask_alias" WHERE "value" IN (${join(values)}))`,
    );
  }

  private async byText(text: string): Promise<Match[]> {
    const byAlias = await this.byAlias([text, text.toUpperCase()]);
    const byCode = await this.byCode(text.toUpperCase());
    return [...byAlias, ...byCode.filter((m) => byAlias.every((a) => a.id !== m.id))];
  }

  private async byCode(code: string): Promise<Match[]> {
    return [
      ...(await this.casks(sql`c."code" = ${code}`)),
      ...(await this.positions(sql`p."code" = ${code}`)),
      ...(await this.others('sample', code)),
      ...(await this.others('vat', code)),
    ];
  }

  private async casks(condition: Sql): Promise<Match[]> {
    const rows = await this.reader.all<{
      id: string;
      code: string;
      caskKind: string;
      woodSpecies: string;
      status: string;
      filledAt: string | null;
      bulk: number | null;
      strength: number | null;
      place: string | null;
    }>(
      sql`SELECT c."id", c."code", c."caskKind", c."woodSpecies", c."status", f."filledAt", f."bulkLitresAt20C" AS "bulk", f."strengthPercentVol" AS "strength", p."code" AS "place"
          FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId" LEFT JOIN "position" p ON p."id" = c."positionId"
          WHERE ${condition} ORDER BY c."code" LIMIT 10`,
    );
    return rows.map((r) => ({
      kind: 'cask',
      id: r.id,
      code: r.code,
      line: [
        `${r.caskKind}, ${r.woodSpecies}`,
        r.filledAt === null
          ? r.status
          : `filled ${r.filledAt.slice(0, 10)}, ${(r.bulk ?? 0).toFixed(1)} L at ${(r.strength ?? 0).toFixed(1)} % vol`,
        ...(r.place === null ? [] : [`at ${r.place}`]),
      ].join(' · '),
    }));
  }

  private async positions(condition: Sql): Promise<Match[]> {
    const rows = await this.reader.all<{
      id: string;
      code: string;
      zone: string;
      row: string;
      occupied: number;
      capacity: number;
    }>(
      sql`SELECT p."id", p."code", z."code" AS "zone", p."row", p."occupied", p."capacity" FROM "position" p JOIN "zone" z ON z."id" = p."zoneId" WHERE ${condition} LIMIT 10`,
    );
    return rows.map((r) => ({
      kind: 'position',
      id: r.id,
      code: r.code,
      line: `rack position in zone ${r.zone}, row ${r.row} · holds ${String(r.occupied)} of ${String(r.capacity)}`,
    }));
  }

  private async others(kind: 'sample' | 'vat', code: string): Promise<Match[]> {
    const rows = await this.reader.all<{ id: string; code: string; more: string }>(
      kind === 'sample'
        ? sql`SELECT s."id", s."code", c."code" AS "more" FROM "sample" s JOIN "cask" c ON c."id" = s."caskId" WHERE s."code" = ${code}`
        : sql`SELECT v."id", v."code", s."code" AS "more" FROM "vat" v JOIN "store" s ON s."id" = v."storeId" WHERE v."code" = ${code}`,
    );
    return rows.map(({ more, ...row }) => ({
      kind,
      ...row,
      line: kind === 'sample' ? `sample of cask ${more}` : `vat in store ${more}`,
    }));
  }

  private async nothing(scan: Scan): Promise<ScanAnswer> {
    const [wrong] = scan.problems.filter((p) => p.kind === 'wrong-check-character');
    if (wrong)
      return {
        status: 'wrong-check-character',
        matches: [],
        nearest: await this.nearest(wrong.code),
        spareCode: null,
        message: `${displayCode(wrong.code)} was misread or mistyped: its check character doesn't fit. Scan again, or choose among the nearest.`,
      };
    // A GS1 key comes before the code of ours in it; a spare label is known by that code.
    for (const { code } of scan.candidates)
      if (await this.isSpare(code))
        return {
          status: 'spare-label',
          matches: [],
          nearest: [],
          spareCode: code,
          message: `${code} is a spare label, printed in advance and on no cask yet.`,
        };
    const [candidate] = scan.candidates;
    if (candidate)
      return {
        status: 'unknown',
        matches: [],
        nearest: candidate.kind === 'gs1' ? [] : await this.nearest(candidate.code),
        spareCode: null,
        message: `${candidate.code} is a proper code, but nothing here has it.`,
      };
    const [foreign] = scan.problems.filter((p) => p.kind === 'foreign-address');
    const [fault] = scan.problems.filter((p) => p.kind === 'gs1-fault');
    return {
      status: 'not-a-code',
      matches: [],
      nearest: [],
      spareCode: null,
      message: foreign
        ? `This is an address at ${foreign.origin}, not one of ours.`
        : fault
          ? `This is not a whole GS1 code: ${fault.reason}`
          : `“${scan.text.slice(0, 60)}” is neither one of our codes nor a known number of a cask.`,
    };
  }

  private async isSpare(code: string): Promise<boolean> {
    const row = await this.reader.one(sql`SELECT 1 FROM "spare_label" WHERE "code" = ${code}`);
    return row !== null;
  }

  private async nearest(misread: string): Promise<ScanAnswer['nearest']> {
    const wanted = normaliseCode(misread);
    const near: ScanAnswer['nearest'] = [];
    for (const code of await nearExistingCodes(this.reader, 'cask', wanted))
      near.push(...((await this.casks(sql`c."code" = ${code}`)) as typeof near));
    for (const code of await nearExistingCodes(this.reader, 'position', wanted))
      near.push(...((await this.positions(sql`p."code" = ${code}`)) as typeof near));
    return near.slice(0, 5);
  }
}

const assumptionOf = (candidate: Candidate): string =>
  candidate.assumption === undefined ? '' : ` Read on an assumption: ${candidate.assumption}.`;

function found(matches: Match[], assumption: string): ScanAnswer {
  const isOne = matches.length === 1;
  return {
    status: isOne ? 'found' : 'several',
    matches,
    nearest: [],
    spareCode: null,
    message: (isOne ? '' : 'Several things answer to this; choose one.') + assumption,
  };
}
