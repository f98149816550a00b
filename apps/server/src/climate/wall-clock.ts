/** Wall-clock times of a place to instants, over changes of the clock. */

const HOUR = 3_600_000;
const DAY = 86_400_000;

/** Offsets of a time zone from UTC, remembered by the day: asking the platform for each reading would be slow. */
export class ZoneClock {
  readonly #format: Intl.DateTimeFormat;
  readonly #atMidnight = new Map<number, number>();

  /** @throws RangeError for a name that is no IANA time zone */
  constructor(timeZone: string) {
    this.#format = new Intl.DateTimeFormat('en-CA', {
      timeZone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
    });
  }

  /** Milliseconds that the place's clocks are ahead of UTC at an instant. */
  offsetAt(instantMs: number): number {
    const day = Math.floor(instantMs / DAY);
    const [before, after] = [this.#midnight(day), this.#midnight(day + 1)];
    return before === after ? before : this.#ask(instantMs);
  }

  /**
   * The instants at which the place's clocks show this time: one as a rule, two in the hour that comes twice in autumn (the
   * earlier first), none in the hour that spring leaves out.
   */
  instantsOf(wallMs: number): number[] {
    const offsets = new Set([this.offsetAt(wallMs - 14 * HOUR), this.offsetAt(wallMs + 14 * HOUR)]);
    return [...offsets]
      .map((offset) => wallMs - offset)
      .filter((instant) => instant + this.offsetAt(instant) === wallMs)
      .sort((a, b) => a - b);
  }

  /** The smaller of the year's offsets: standard time in most places. */
  standardOffset(year: number): number {
    return Math.min(this.offsetAt(Date.UTC(year, 0, 15)), this.offsetAt(Date.UTC(year, 6, 15)));
  }

  #midnight(day: number): number {
    let offset = this.#atMidnight.get(day);
    if (offset === undefined) this.#atMidnight.set(day, (offset = this.#ask(day * DAY)));
    return offset;
  }

  #ask(instantMs: number): number {
    const parts: Record<string, number> = {};
    for (const { type, value } of this.#format.formatToParts(instantMs))
      parts[type] = Number(value);
    const { year = 0, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = parts;
    return (
      Date.UTC(year, month - 1, day, hour, minute, second) - Math.floor(instantMs / 1000) * 1000
    );
  }
}

export interface Instants {
  readonly ms: readonly number[];
  /** Whether the logger's clock was put forward and back with the place's. */
  readonly clock: 'follows' | 'stays-on-standard-time' | 'no-change-seen';
}

/**
 * Wall-clock stamps, in the order of the file, to instants. A logger that recorded in the hour that spring leaves out, or that ran
 * through autumn's double hour only once, keeps standard time all year.
 */
export function toInstants(wallMs: readonly number[], zone: ZoneClock): Instants {
  const clock = clockOf(wallMs, zone);
  let previous = -Infinity;
  const ms = wallMs.map((wall) => {
    if (clock === 'stays-on-standard-time')
      return wall - zone.standardOffset(new Date(wall).getUTCFullYear());
    const [first, second] = zone.instantsOf(wall);
    if (first === undefined) return wall - zone.offsetAt(wall - 3 * HOUR);
    const instant = second !== undefined && first <= previous ? second : first;
    previous = instant;
    return instant;
  });
  return { ms, clock };
}

function clockOf(wallMs: readonly number[], zone: ZoneClock): Instants['clock'] {
  let inNoHour = 0;
  let doubled = 0;
  let double = 0;
  let before: number | null = null;
  for (const wall of wallMs) {
    // Only days on which the offset changes can tell; the others cost two look-ups.
    if (zone.offsetAt(wall - 14 * HOUR) !== zone.offsetAt(wall + 14 * HOUR)) {
      const count = zone.instantsOf(wall).length;
      const step = before === null ? Infinity : wall - before;
      if (count === 0) inNoHour++;
      if (count === 2 && step <= 0 && step >= -2 * HOUR) doubled++;
      // A logger that reads a few times a day may pass the double hour once either way.
      if (count === 2 && step > 0 && step <= HOUR) double++;
    }
    before = wall;
  }
  if (doubled > 0) return 'follows';
  if (inNoHour > 0) return 'stays-on-standard-time';
  return double > 0 ? 'stays-on-standard-time' : 'no-change-seen';
}
