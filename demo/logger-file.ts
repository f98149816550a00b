import { dayOf, msOf, yearOf } from './calendar.ts';
import type { ZonePlan } from './estate.ts';
import { identities } from './identity.ts';
import type { Random } from './random.ts';
import type { ZoneAir } from './weather.ts';
import type { World } from './world.ts';

/** One logger's file as it is carried to the desk. */
export interface LoggerFile {
  /** id under which it is imported; the same file again is the same act */
  readonly actId: string;
  readonly zoneId: string;
  readonly zoneName: string;
  readonly logger: string;
  readonly csv: string;
}

const HOURS_LOST_SHARE = 0.002;

/** Hourly temperature and humidity of each zone for the last years, with what real loggers do to a series. */
export function* loggerFiles(world: World): Generator<LoggerFile> {
  // Ids of their own: the files may be asked for before the history has been told.
  const identity = identities(`${world.options.seed}/loggers`);
  for (const { id, name, plan, air } of world.zones) {
    if (plan === null || air === null) continue;
    const random = world.random(`logger/${plan.code}`);
    yield {
      actId: identity(msOf(world.lastDay, 16)),
      zoneId: id,
      zoneName: name,
      logger: plan.logger.name,
      csv: loggerCsv(random, plan, air, world.lastDay),
    };
  }
}

function loggerCsv(random: Random, plan: ZonePlan, air: ZoneAir, lastDay: number): string {
  const firstDay = lastDay - Math.round(plan.logger.years * 365.25);
  const gaps = drawGaps(random, firstDay, lastDay);
  const stuckFrom = firstDay + random.whole(200, 900);
  const bias = { c: random.normal(0, 0.2), percent: random.normal(0, 1.2) };
  const rows = ['time,temperature_c,relative_humidity_pct'];
  let stuck: string | null = null;
  for (let day = firstDay; day < lastDay; day++) {
    if (gaps.some(([from, to]) => day >= from && day < to)) continue;
    const i = day - air.firstDay;
    for (let hour = 0; hour < 24; hour++) {
      if (random.chance(HOURS_LOST_SHARE)) continue;
      const time = stamp(plan, day, hour, firstDay);
      // Warmest in mid-afternoon, and driest then: the air holds the same vapour.
      const swing = plan.nature.dayNightC * Math.sin((2 * Math.PI * (hour - 9)) / 24);
      const within = hour / 24;
      const temperature =
        between(air.temperatureC, i, within) + swing + bias.c + random.normal(0, 0.08);
      const humidity =
        100 * between(air.humidity, i, within) - 2.6 * swing + bias.percent + random.normal(0, 0.5);
      const reading = `${temperature.toFixed(1)},${Math.min(100, Math.max(1, humidity)).toFixed(1)}`;
      // One week the sensor of the quay floor said the same thing day and night.
      const isStuck = plan.code === 'SALT-Q' && day >= stuckFrom && day < stuckFrom + 7;
      stuck = isStuck ? (stuck ?? reading) : null;
      rows.push(`${time},${stuck ?? reading}`);
    }
  }
  return `${rows.join('\n')}\n`;
}

const between = (series: Float64Array, i: number, within: number): number =>
  (series[i] ?? 0) * (1 - within) + (series[i + 1] ?? series[i] ?? 0) * within;

/** Loggers stop: a flat battery, a full memory. */
function drawGaps(random: Random, firstDay: number, lastDay: number): [number, number][] {
  return Array.from({ length: random.whole(2, 4) }, () => {
    const from = random.whole(firstDay + 30, lastDay - 60);
    return [from, from + random.whole(2, 26)];
  });
}

/**
 * The logger's own way of writing the time. Two write the wall clock's: an hour is missing in March, one comes twice in
 * October. In its second summer the loft's was left on winter time.
 */
function stamp(plan: ZonePlan, day: number, hour: number, firstDay: number): string {
  const ms = msOf(day, hour);
  if (plan.logger.format === 'utc') return `${new Date(ms).toISOString().slice(0, 19)}Z`;
  const forgotten = plan.code === 'ROPE-H' && yearOf(day) === yearOf(firstDay) + 1;
  const summer = !forgotten && ms >= clocksChange(ms, 3) && ms < clocksChange(ms, 10);
  return new Date(ms + (summer ? 3_600_000 : 0)).toISOString().slice(0, 16).replace('T', ' ');
}

/** When the estate's clocks change: on the last Sunday of March and of October at 01:00 UTC. */
function clocksChange(ms: number, month: 3 | 10): number {
  const last = dayOf(new Date(ms).getUTCFullYear(), month, 31);
  // 1 January 1970, day 0, was a Thursday.
  return msOf(last - ((last + 4) % 7), 1);
}
