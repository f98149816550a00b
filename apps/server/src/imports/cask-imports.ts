import {
  CASK_FIGURES,
  type Act,
  type CaskGeometry,
  type GaugeReadings,
  type StrengthReading,
} from '@rundlet/contracts';
import type { Cells } from './cells.ts';
import { act, idOfContent, type ImportKindReader, type LookUps } from './import-kind.ts';

const FILLING = ['vat', 'spiritLot', 'bulkLitresAt20C', 'strengthPercentVol'] as const;

/**
 * Casks as they stand. A row with `filledAt` also says what the cask was filled with: its spirit is received into the named vat,
 * which must be empty, and filled from there, so that the alcohol account opens with it.
 */
export const casks: ImportKindReader = {
  required: [
    'kind',
    'nominalLitres',
    'woodSpecies',
    'previousContents',
    'bilgeDiameterMm',
    'headDiameterMm',
    'lengthMm',
  ],
  optional: [
    'code',
    'figure',
    'basis',
    'forest',
    'seasoningMonths',
    'toast',
    'char',
    'cooper',
    'cooperLot',
    'capacityLitres',
    'tareKg',
    'giai',
    'aliases',
    'earlierFillings',
    'position',
    'filledAt',
    ...FILLING,
  ],
  columnOf: {
    positionId: 'position',
    vatId: 'vat',
    lotId: 'spiritLot',
    happenedAt: 'filledAt',
    readings: 'bulkLitresAt20C',
  },
  codesOf: {
    code: 'cask',
    aliases: 'cask',
    position: 'position',
    vat: 'vat',
    spiritLot: 'spirit-lot',
  },
  async acts(cells, lookUps) {
    const filledAt = cells.optionalInstant('filledAt');
    const id = lookUps.newId();
    const registered = act('cask.register', filledAt ?? lookUps.now, {
      id,
      code: cells.optionalText('code') ?? (await lookUps.nextCaskCode()),
      cooperage: {
        kind: cells.text('kind'),
        nominalLitres: cells.number('nominalLitres'),
        woodSpecies: cells.text('woodSpecies'),
        forest: cells.optionalText('forest'),
        seasoningMonths: cells.optionalNumber('seasoningMonths'),
        toast: cells.optionalText('toast'),
        char: cells.optionalText('char'),
        previousContents: cells.text('previousContents'),
        cooper: cells.optionalText('cooper'),
        cooperLot: cells.optionalText('cooperLot'),
      },
      geometry: {
        figure: figureOf(cells),
        bilgeDiameterMm: cells.number('bilgeDiameterMm'),
        headDiameterMm: cells.number('headDiameterMm'),
        lengthMm: cells.number('lengthMm'),
        basis: cells.oneOf('basis', ['measured', 'assumed'], 'assumed'),
      },
      capacityLitres: cells.optionalNumber('capacityLitres'),
      tareKg: cells.optionalNumber('tareKg'),
      giai: cells.optionalText('giai'),
      aliases: cells.list('aliases'),
      earlierFillings: cells.optionalNumber('earlierFillings') ?? 0,
      positionId: cells.has('position')
        ? await lookUps.idByCode(cells, 'position', 'position', cells.text('position'))
        : null,
    });
    if (filledAt !== null) return [registered, ...(await filled(cells, lookUps, id, filledAt))];
    for (const column of FILLING)
      if (cells.has(column)) cells.fault(column, 'is for a filled cask; give filledAt too');
    return [registered];
  },
};

/** A classical figure by its name, or the fullness of one fitted to a measured fill. */
function figureOf(cells: Cells): CaskGeometry['figure'] {
  const fullness = Number(cells.optionalText('figure') ?? NaN);
  return Number.isNaN(fullness)
    ? cells.oneOf('figure', CASK_FIGURES, 'parabolic-spindle')
    : { fullness };
}

async function filled(
  cells: Cells,
  lookUps: LookUps,
  caskId: string,
  filledAt: string,
): Promise<Act[]> {
  const vatId = await lookUps.idByCode(cells, 'vat', 'vat', cells.text('vat'));
  const vat = await lookUps.record('vat', vatId);
  if (vat && vat.figures.bulkLitresAt20C > 0)
    cells.fault('vat', `${vat.code} is not empty; what is in it would be mixed with this spirit`);
  const readings: GaugeReadings = {
    method: 'declared',
    bulkLitresAt20C: cells.number('bulkLitresAt20C'),
    strengthPercentVol: cells.number('strengthPercentVol'),
  };
  const lotId = await lookUps.idByCode(cells, 'spiritLot', 'spirit-lot', cells.text('spiritLot'));
  return [
    act('spirit.receive', filledAt, { vatId, lotId, readings }),
    act('cask.fill', filledAt, {
      caskId,
      fillingId: lookUps.newId(),
      vatId,
      readings,
      positionId: null,
    }),
  ];
}

/** Gauges of the past; the same reading sent again is the same act and changes nothing. */
export const regauges: ImportKindReader = {
  required: ['cask', 'takenAt', 'method'],
  optional: [
    'orientation',
    'wetDipMm',
    'dryDipMm',
    'grossKg',
    'tareKg',
    'litres',
    'liquidTemperatureC',
    'hydrometerPercentVol',
    'densityKgPerM3',
    'laboratoryPercentVol',
    'strengthTemperatureC',
    'obscurationPercentVol',
    'bulkLitresAt20C',
    'strengthPercentVol',
    'uncertaintyLitres',
    'uncertaintyPercentVol',
  ],
  columnOf: {
    caskId: 'cask',
    happenedAt: 'takenAt',
    readings: 'method',
    readingPercentVol: 'hydrometerPercentVol',
    temperatureC: 'strengthTemperatureC',
  },
  codesOf: { cask: 'cask' },
  async acts(cells, lookUps) {
    const takenAt = cells.instant('takenAt');
    const body = { caskId: await lookUps.caskId(cells, 'cask'), readings: readingsIn(cells) };
    return [act('cask.gauge', takenAt, body, idOfContent(takenAt, JSON.stringify(body)))];
  },
};

const METHODS = ['dip', 'ullage', 'weight', 'meter', 'declared'] as const;
const ORIENTATIONS = ['lying', 'standing'] as const;

function readingsIn(cells: Cells): GaugeReadings {
  const method = cells.oneOf('method', METHODS);
  if (method === 'declared') {
    const uncertaintyLitres = cells.optionalNumber('uncertaintyLitres');
    const uncertaintyPercentVol = cells.optionalNumber('uncertaintyPercentVol');
    return {
      method,
      bulkLitresAt20C: cells.number('bulkLitresAt20C'),
      strengthPercentVol: cells.number('strengthPercentVol'),
      ...(uncertaintyLitres === null ? {} : { uncertaintyLitres }),
      ...(uncertaintyPercentVol === null ? {} : { uncertaintyPercentVol }),
    };
  }
  const common = {
    liquidTemperatureC: cells.number('liquidTemperatureC'),
    strength: strengthIn(cells),
  };
  if (method === 'weight')
    return { method, grossKg: cells.number('grossKg'), tareKg: cells.number('tareKg'), ...common };
  if (method === 'meter') return { method, litres: cells.number('litres'), ...common };
  const orientation = cells.oneOf('orientation', ORIENTATIONS, 'lying');
  return method === 'dip'
    ? { method, orientation, wetDipMm: cells.number('wetDipMm'), ...common }
    : { method, orientation, dryDipMm: cells.number('dryDipMm'), ...common };
}

function strengthIn(cells: Cells): StrengthReading {
  if (cells.has('laboratoryPercentVol'))
    return { kind: 'laboratory', strengthPercentVol: cells.number('laboratoryPercentVol') };
  if (cells.has('densityKgPerM3'))
    return {
      kind: 'densitometer',
      densityKgPerM3: cells.number('densityKgPerM3'),
      temperatureC: cells.number('strengthTemperatureC'),
    };
  if (!cells.has('hydrometerPercentVol'))
    cells.fault(
      'hydrometerPercentVol',
      'a strength is needed: hydrometerPercentVol or densityKgPerM3 with strengthTemperatureC, or laboratoryPercentVol',
    );
  const obscurationPercentVol = cells.optionalNumber('obscurationPercentVol');
  return {
    kind: 'hydrometer',
    readingPercentVol: cells.optionalNumber('hydrometerPercentVol') ?? 0,
    temperatureC:
      cells.optionalNumber('strengthTemperatureC') ?? cells.number('liquidTemperatureC'),
    ...(obscurationPercentVol === null ? {} : { obscurationPercentVol }),
  };
}
