import { Injectable } from '@nestjs/common';
import type { MapCell, Zone } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql, { type Sql } from 'sql-template-tag';
import { yearlyLossPercent } from '../casks/cask-card.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Clock } from '../platform/clock.ts';
import { placeOf } from './place.ts';

const DAY_MS = 86_400_000;
const DAYS_PER_YEAR = 365.25;

type Dot = MapCell['casks'][number];
interface Row extends Pick<Dot, 'id' | 'code' | 'status' | 'condition' | 'suspicion'> {
  positionId: string;
  strength: number | null;
  oakFrom: string | null;
  filledAt: string | null;
  lastGaugedAt: string | null;
  filledLitres: number | null;
  lostMg: number | null;
}

/** A zone's positions, each with the casks standing in it. */
@Injectable()
export class ZoneMap {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
  ) {}

  /** All of the zone, or one position of it. @throws NotFound */
  async of(
    zoneId: string,
    positionId: string | undefined,
  ): Promise<{ zone: Zone; cells: MapCell[] }> {
    const only = (column: Sql): Sql =>
      positionId === undefined ? sql`` : sql` AND ${column} = ${positionId}`;
    const [zone, positions, rows] = await Promise.all([
      this.records.need('zone', zoneId),
      this.records.where(
        'position',
        sql`"zoneId" = ${zoneId}${only(sql`"id"`)}`,
        sql`"walkOrder", "id"`,
      ),
      this.casks(sql`c."zoneId" = ${zoneId}${only(sql`c."positionId"`)}`),
    ]);
    const now = this.clock.now().getTime();
    const byPosition = new Map<string, Dot[]>();
    for (const row of rows) {
      const here = byPosition.get(row.positionId);
      if (here) here.push(dotOf(row, now));
      else byPosition.set(row.positionId, [dotOf(row, now)]);
    }
    return {
      zone,
      cells: positions.map((position) => ({
        position: placeOf(position),
        casks: byPosition.get(position.id) ?? [],
      })),
    };
  }

  /** Only what is drawn: a zone has thousands. */
  private casks(where: Sql): Promise<Row[]> {
    // Loss the gauges have shown, from the account's own lines: samples and top-ups are not in it.
    return this.reader.all(
      sql`SELECT c."id", c."code", c."status", c."condition", c."positionId", f."suspicion", f."strengthPercentVol" AS "strength", f."oakFrom", f."filledAt", f."lastGaugedAt",
            ${this.reader.numberIn(sql`f."record"`, ['fillFigures', 'litresPureAlcohol'])} AS "filledLitres",
            (SELECT SUM(p."ethanolMg") FROM "posting" p WHERE p."fillingId" = f."id" AND p."cause" = 'gauge-difference') AS "lostMg"
          FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId" WHERE ${where} AND c."positionId" IS NOT NULL ORDER BY c."code"`,
    );
  }
}

function dotOf(row: Row, nowMs: number): Dot {
  const days = (from: string, toMs: number) => Math.max(0, toMs - Date.parse(from)) / DAY_MS;
  return {
    id: row.id,
    code: row.code,
    status: row.status,
    condition: row.condition,
    ageYears: row.oakFrom === null ? null : days(row.oakFrom, nowMs) / DAYS_PER_YEAR,
    strengthPercentVol: row.strength,
    lossPercentPerYear:
      row.filledAt === null || row.lastGaugedAt === null
        ? null
        : yearlyLossPercent(
            0 - litresPureAlcoholOfMg(row.lostMg ?? 0),
            row.filledLitres ?? 0,
            days(row.filledAt, Date.parse(row.lastGaugedAt)),
          ),
    suspicion: row.suspicion,
  };
}
