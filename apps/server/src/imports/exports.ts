import { Injectable } from '@nestjs/common';
import type { Cask, Filling, Gauge, Position, Posting } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql, { type Sql } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import type { CsvValue } from './csv.ts';

export type ExportKind = 'casks' | 'gauges' | 'postings' | 'positions';

interface Table {
  readonly columns: readonly string[];
  /** Rows after this key, in its order, with a key each. */
  readonly select: (after: string, limit: number) => Sql;
  readonly row: (found: Found) => CsvValue[];
}
interface Found {
  key: string;
  record: string;
  more: string | null;
  code: string | null;
  also: string | null;
}

const CHUNK = 2000;

const TABLES: Readonly<Record<ExportKind, Table>> = {
  casks: {
    columns:
      'code,kind,nominalLitres,woodSpecies,forest,seasoningMonths,toast,char,previousContents,cooper,cooperLot,figure,bilgeDiameterMm,headDiameterMm,lengthMm,basis,capacityLitres,tareKg,giai,aliases,earlierFillings,status,condition,position,filling,fillNumber,filledAt,lastGaugedAt,bulkLitresAt20C,strengthPercentVol,litresPureAlcohol,account,dutyStatus'.split(
        ',',
      ),
    select: (after, limit) =>
      sql`SELECT c."code" AS "key", c."record", f."record" AS "more", p."code", a."code" AS "also" FROM "cask" c
          LEFT JOIN "filling" f ON f."id" = c."fillingId" LEFT JOIN "position" p ON p."id" = c."positionId" LEFT JOIN "account" a ON a."id" = f."accountId"
          WHERE c."code" > ${after} ORDER BY c."code" LIMIT ${limit}`,
    row: ({ record, more, code, also }) => {
      const c = JSON.parse(record) as Cask;
      const f = more === null ? null : (JSON.parse(more) as Filling);
      const { cooperage: w, geometry: g } = c;
      return [
        ...[
          c.code,
          w.kind,
          w.nominalLitres,
          w.woodSpecies,
          w.forest,
          w.seasoningMonths,
          w.toast,
          w.char,
        ],
        ...[w.previousContents, w.cooper, w.cooperLot],
        ...[
          typeof g.figure === 'string' ? g.figure : g.figure.fullness,
          g.bilgeDiameterMm,
          g.headDiameterMm,
          g.lengthMm,
          g.basis,
        ],
        ...[c.capacityLitres, c.tareKg, c.giai, c.aliases.join(';'), c.earlierFillings],
        ...[c.status, c.condition, code],
        ...[f?.code ?? null, f?.fillNumber ?? null, f?.filledAt ?? null, f?.lastGaugedAt ?? null],
        ...figures(f?.figures),
        also,
        f?.dutyStatus ?? null,
      ];
    },
  },
  gauges: {
    columns:
      'cask,takenAt,method,bulkLitresAt20C,strengthPercentVol,litresPureAlcohol,uncertaintyLitres,uncertaintyPercentVol,verdict,keeperVerdict,late'.split(
        ',',
      ),
    select: (after, limit) =>
      sql`SELECT g."id" AS "key", g."record", NULL AS "more", c."code", NULL AS "also" FROM "gauge" g JOIN "cask" c ON c."id" = g."caskId"
          WHERE g."id" > ${after} ORDER BY g."id" LIMIT ${limit}`,
    row: ({ record, code }) => {
      const g = JSON.parse(record) as Gauge;
      return [
        ...[code, g.takenAt, g.method],
        ...figures(g.figures),
        ...[g.uncertainties.litres, g.uncertainties.percentVol],
        ...[g.verdict, g.keeperVerdict, g.late],
      ];
    },
  },
  postings: {
    columns:
      'at,month,account,store,vesselKind,vessel,cause,dutyStatus,ethanolMg,litresPureAlcohol,entryId'.split(
        ',',
      ),
    select: (after, limit) =>
      sql`SELECT p."id" AS "key", p."record", COALESCE(c."code", v."code") AS "more", a."code", s."code" AS "also" FROM "posting" p
          LEFT JOIN "cask" c ON c."id" = p."vesselId" LEFT JOIN "vat" v ON v."id" = p."vesselId"
          LEFT JOIN "account" a ON a."id" = p."accountId" LEFT JOIN "store" s ON s."id" = p."storeId"
          WHERE p."id" > ${after} ORDER BY p."id" LIMIT ${limit}`,
    row: ({ record, more, code, also }) => {
      const p = JSON.parse(record) as Posting;
      return [
        ...[p.at, p.month, code, also, p.vesselKind, more, p.cause, p.dutyStatus],
        ...[p.ethanolMg, litresPureAlcoholOfMg(p.ethanolMg), p.entryId],
      ];
    },
  },
  positions: {
    columns: 'zone,code,row,bay,level,slot,walkOrder,capacity'.split(','),
    select: (after, limit) =>
      sql`SELECT p."code" AS "key", p."record", NULL AS "more", z."code", NULL AS "also" FROM "position" p JOIN "zone" z ON z."id" = p."zoneId"
          WHERE p."code" > ${after} ORDER BY p."code" LIMIT ${limit}`,
    row: ({ record, code }) => {
      const p = JSON.parse(record) as Position;
      return [code, p.code, p.row, p.bay, p.level, p.slot, p.walkOrder, p.capacity];
    },
  },
};

const figures = (
  f: { bulkLitresAt20C: number; strengthPercentVol: number; litresPureAlcohol: number } | undefined,
): CsvValue[] => [
  f?.bulkLitresAt20C ?? null,
  f?.strengthPercentVol ?? null,
  f?.litresPureAlcohol ?? null,
];

/** Tables for spreadsheets, read in pieces so that a large one needs little memory. */
@Injectable()
export class Exports {
  constructor(private readonly reader: Reader) {}

  columns(kind: ExportKind): readonly string[] {
    return TABLES[kind].columns;
  }

  async *rows(kind: ExportKind): AsyncGenerator<CsvValue[][]> {
    const table = TABLES[kind];
    for (let after = ''; ;) {
      const found = await this.reader.all<Found>(table.select(after, CHUNK));
      const last = found.at(-1);
      if (!last) return;
      yield found.map(table.row);
      after = last.key;
    }
  }
}
