/** Rounds to so many decimals, drops trailing zeros and groups thousands: 8000.50 → "8,000.5". */
export function figure(value: number, decimals = 2): string {
  if (!Number.isFinite(value)) return value > 0 ? 'no limit' : 'no floor';
  const [whole = '0', fraction = ''] = Math.abs(value).toFixed(decimals).split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ',');
  const trimmed = fraction.replace(/0+$/, '');
  const text = trimmed === '' ? grouped : `${grouped}.${trimmed}`;
  return value < 0 && Number(text.replaceAll(',', '')) !== 0 ? `−${text}` : text;
}

export function percent(share: number, decimals = 2): string {
  return `${figure(share * 100, decimals)} %`;
}

/** "at least 2", "at most 5", "2 to 5", "exactly 3". */
export function between(
  low: number | undefined,
  high: number | undefined,
  say: (value: number) => string,
): string {
  if (low !== undefined && high !== undefined)
    return low === high ? `exactly ${say(low)}` : `${say(low)} to ${say(high)}`;
  if (low !== undefined) return `at least ${say(low)}`;
  if (high !== undefined) return `at most ${say(high)}`;
  return 'any';
}

/** Lists a few and counts the rest: "A, B, C and 4 more". */
export function listed(items: readonly string[], shown = 4): string {
  if (items.length <= 1) return items.join('');
  if (items.length <= shown)
    return `${items.slice(0, -1).join(', ')} and ${items[items.length - 1]!}`;
  return `${items.slice(0, shown).join(', ')} and ${items.length - shown} more`;
}
