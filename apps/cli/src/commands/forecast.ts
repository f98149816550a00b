import type { Command } from 'commander';
import { api, type ForecastPoint } from '@rundlet/contracts';
import { answerForecastBundle, type ForecastBundle } from '@rundlet/maturation';
import { jobResult, jsonOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';
import { caskByText, storeByCode, zoneByCode } from '../places.ts';

interface ForecastOptions {
  readonly cask?: string;
  readonly store?: string;
  readonly zone?: string;
  readonly stock?: boolean;
  readonly years: string;
  readonly floor: string;
}

export function addForecast(program: Command, contextOf: () => Context): void {
  program
    .command('forecast')
    .description(
      'forecast bulk, strength and pure alcohol: of a bundle of records without a server, or by the server',
    )
    .argument('[bundle]', 'JSON file of one warehouse’s records, or - for standard input')
    .option('--file <bundle>', 'the same as the argument')
    .option('--cask <code>', 'one cask, by the server')
    .option('--store <code>', 'a store, by the server')
    .option('--zone <code>', 'a zone, by the server')
    .option('--stock', 'the whole stock, by the server')
    .option('--years <number>', 'how far ahead', '10')
    .option('--floor <strength>', 'strength floor, % vol', '40')
    .action(async (bundle: string | undefined, options: ForecastOptions & { file?: string }) => {
      const context = contextOf();
      const file = bundle ?? options.file;
      if (file !== undefined) {
        const answer = answerForecastBundle(bundleOf(await jsonOf(file)));
        context.pass(`${JSON.stringify(answer)}\n`);
      } else if (options.cask !== undefined) await forecastCask(context, options.cask, options);
      else if (options.store !== undefined || options.zone !== undefined || options.stock === true)
        await forecastStock(context, options);
      else
        throw new Failure(
          'Give a bundle, or --cask CODE, --store CODE, --zone CODE or --stock.',
          EXIT.usage,
        );
    });

  program
    .command('calibrate')
    .description('learn again from all regauges')
    .action(async () => {
      const context = contextOf();
      const { jobId } = await (await context.client()).call(api.maturation.calibrate);
      const result = await jobResult(context, jobId);
      context.answer(result, 'Calibrated.');
    });
}

/** A bundle comes from another program: what the forecast leans on is looked at before. */
function bundleOf(value: unknown): ForecastBundle {
  const bundle = value as Partial<ForecastBundle> | null;
  for (const key of ['warehouse', 'casks', 'climate'] as const)
    if (typeof bundle?.[key] !== 'object')
      throw new Failure(
        `The bundle has no ${key}. It needs warehouse, casks and climate.`,
        EXIT.usage,
      );
  return bundle as ForecastBundle;
}

function query(options: ForecastOptions) {
  const years = Number(options.years);
  const floorPercentVol = Number(options.floor);
  if (!Number.isFinite(years) || !Number.isFinite(floorPercentVol))
    throw new Failure('--years and --floor must be numbers.', EXIT.usage);
  return { years, floorPercentVol };
}

async function forecastCask(
  context: Context,
  code: string,
  options: ForecastOptions,
): Promise<void> {
  const client = await context.client();
  const cask = await caskByText(client, code);
  const forecast = await client.call(api.maturation.filling, {
    params: { id: cask.id },
    query: query(options),
  });
  const crossing = forecast.floor;
  context.answer(
    forecast,
    [
      `Cask ${cask.code}`,
      table(forecast.points),
      crossing.q50 === null
        ? `Stays above ${String(crossing.threshold)} ${crossing.unit} for ${options.years} years with probability ${crossing.never.toFixed(2)}.`
        : `Crosses ${String(crossing.threshold)} ${crossing.unit} about ${crossing.q50} (${crossing.q10 ?? '?'} to ${crossing.q90 ?? 'later'}).`,
      ...forecast.assumptions.map((assumption) => `Assumed: ${assumption}`),
    ].join('\n'),
  );
}

async function forecastStock(context: Context, options: ForecastOptions): Promise<void> {
  const client = await context.client();
  const forecast = await client.call(api.maturation.stock, {
    query: {
      ...query(options),
      ...(options.store === undefined
        ? {}
        : { storeId: (await storeByCode(client, options.store)).id }),
      ...(options.zone === undefined
        ? {}
        : { zoneId: (await zoneByCode(client, options.zone)).id }),
    },
  });
  context.answer(
    forecast,
    [
      `${String(forecast.casks)} casks`,
      table(forecast.points),
      ...forecast.assumptions.map((assumption) => `Assumed: ${assumption}`),
    ].join('\n'),
  );
}

/** One line a year: the median and the 90 % interval. */
function table(points: readonly ForecastPoint[]): string {
  const cell = (q: { q05: number; q50: number; q95: number }): string =>
    `${q.q50.toFixed(1).padStart(9)} (${q.q05.toFixed(1)} to ${q.q95.toFixed(1)})`;
  const yearly = points.filter((_, i) => i % 12 === 0 || i === points.length - 1);
  return [
    'date        litres at 20 °C, % vol, litres of pure alcohol: median (90 % interval)',
    ...yearly.map((p) =>
      [p.on, cell(p.bulkLitresAt20C), cell(p.strengthPercentVol), cell(p.litresPureAlcohol)].join(
        '  ',
      ),
    ),
  ].join('\n');
}
