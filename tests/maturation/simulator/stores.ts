/**
 * Six invented stores of several climates, with the hidden constants of their wood and their people.
 * None of these constants is known to the library under test.
 */
export interface Store {
  id: string;
  description: string;
  spirit: string;
  hemisphere: 'north' | 'south';
  floors: number;
  sensorFloors: number[];
  cutoff: string;
  /** years before the cutoff in which casks were filled: [oldest, youngest] */
  filledYearsAgo: [number, number];
  indoorLogYears: number;
  outdoorLogYears: number;
  weather: {
    meanC: number;
    swingC: number;
    dayToDayC: number;
    meanHumidity: number;
    humiditySwing: number;
    yearSdC: number;
  };
  indoors: {
    lagDays: number;
    warmerPerFloorC: number;
    drierPerFloor: number;
    damp: number;
    shareOfOutdoorVapour: number;
  };
  fillStrength: [number, number];
  casks: readonly (readonly [CaskChoice, number])[];
  people: {
    regaugeMean: number;
    weighShare: number;
    blunderShare: number;
    leakPerYear: number;
    sampleEveryYears: number;
    partBottlingShare: number;
    loggedShare: number;
    nominalFillShare: number;
  };
}

export interface CaskChoice {
  type: string;
  litres: number;
  species: string;
  previous: string;
  /** probabilities of first, second, third, fourth filling */
  fills: readonly number[];
  orientation: 'on_side' | 'upright';
}

const kind = (
  type: string,
  litres: number,
  species: string,
  previous: string,
  fills: readonly number[],
  orientation: 'on_side' | 'upright' = 'on_side',
): CaskChoice => ({ type, litres, species, previous, fills, orientation });

const refill = [0, 0.45, 0.35, 0.2];
const newWood = [1];

export const STORES: readonly Store[] = [
  {
    id: 'S1',
    description: 'cool maritime, low stone store, 3 tiers',
    spirit: 'malt spirit',
    hemisphere: 'north',
    floors: 3,
    sensorFloors: [0, 2],
    cutoff: '2024-06-30',
    filledYearsAgo: [22, 1],
    indoorLogYears: 6,
    outdoorLogYears: 12,
    weather: {
      meanC: 9,
      swingC: 5.2,
      dayToDayC: 2.6,
      meanHumidity: 0.81,
      humiditySwing: 0.05,
      yearSdC: 0.45,
    },
    indoors: {
      lagDays: 12,
      warmerPerFloorC: 0.5,
      drierPerFloor: 0.015,
      damp: 0.05,
      shareOfOutdoorVapour: 0.95,
    },
    fillStrength: [62.5, 64.2],
    casks: [
      [kind('barrel 200', 200, 'Quercus alba', 'bourbon', refill), 4],
      [kind('hogshead 250', 250, 'Quercus alba', 'whisky', refill), 4],
      [kind('butt 500', 500, 'Quercus robur', 'sherry', refill), 2],
    ],
    people: {
      regaugeMean: 1.9,
      weighShare: 0.25,
      blunderShare: 0.03,
      leakPerYear: 0.005,
      sampleEveryYears: 4,
      partBottlingShare: 0.01,
      loggedShare: 0.85,
      nominalFillShare: 0.3,
    },
  },
  {
    id: 'S2',
    description: 'continental, six-storey clad store',
    spirit: 'grain spirit',
    hemisphere: 'north',
    floors: 6,
    sensorFloors: [0, 3, 5],
    cutoff: '2023-12-31',
    filledYearsAgo: [10, 0.8],
    indoorLogYears: 4,
    outdoorLogYears: 10,
    weather: {
      meanC: 11.5,
      swingC: 12.5,
      dayToDayC: 4,
      meanHumidity: 0.72,
      humiditySwing: 0.04,
      yearSdC: 0.6,
    },
    indoors: {
      lagDays: 4,
      warmerPerFloorC: 0.8,
      drierPerFloor: 0.012,
      damp: 0,
      shareOfOutdoorVapour: 1,
    },
    fillStrength: [59, 63],
    casks: [[kind('barrel 200', 200, 'Quercus alba', 'none', newWood), 1]],
    people: {
      regaugeMean: 2.2,
      weighShare: 0.4,
      blunderShare: 0.03,
      leakPerYear: 0.012,
      sampleEveryYears: 3,
      partBottlingShare: 0.005,
      loggedShare: 0.85,
      nominalFillShare: 0.2,
    },
  },
  {
    id: 'S3',
    description: 'mild maritime, riverside cellars and lofts',
    spirit: 'grape brandy',
    hemisphere: 'north',
    floors: 2,
    sensorFloors: [0],
    cutoff: '2024-03-31',
    filledYearsAgo: [30, 1],
    indoorLogYears: 5,
    outdoorLogYears: 15,
    weather: {
      meanC: 13.5,
      swingC: 7.5,
      dayToDayC: 3,
      meanHumidity: 0.77,
      humiditySwing: 0.05,
      yearSdC: 0.5,
    },
    indoors: {
      lagDays: 15,
      warmerPerFloorC: 1.8,
      drierPerFloor: 0.09,
      damp: 0.1,
      shareOfOutdoorVapour: 0.98,
    },
    fillStrength: [66, 71],
    casks: [
      [kind('barrique 350', 350, 'Quercus robur', 'brandy', [0.25, 0.3, 0.25, 0.2]), 3],
      [kind('barrique 270', 270, 'Quercus petraea', 'brandy', [0.35, 0.3, 0.2, 0.15]), 2],
    ],
    people: {
      regaugeMean: 2.4,
      weighShare: 0.1,
      blunderShare: 0.035,
      leakPerYear: 0.004,
      sampleEveryYears: 2.5,
      partBottlingShare: 0.02,
      loggedShare: 0.8,
      nominalFillShare: 0.5,
    },
  },
  {
    id: 'S4',
    description: 'humid tropical, ventilated shed, 4 tiers',
    spirit: 'cane spirit',
    hemisphere: 'north',
    floors: 4,
    sensorFloors: [0, 3],
    cutoff: '2024-09-30',
    filledYearsAgo: [9, 0.5],
    indoorLogYears: 3,
    outdoorLogYears: 8,
    weather: {
      meanC: 26.3,
      swingC: 1.4,
      dayToDayC: 1,
      meanHumidity: 0.78,
      humiditySwing: 0.04,
      yearSdC: 0.3,
    },
    indoors: {
      lagDays: 2,
      warmerPerFloorC: 0.9,
      drierPerFloor: 0.02,
      damp: 0.02,
      shareOfOutdoorVapour: 1,
    },
    fillStrength: [59.5, 66],
    casks: [
      [kind('barrel 200', 200, 'Quercus alba', 'bourbon', refill, 'upright'), 3],
      [kind('barrel 200', 200, 'Quercus alba', 'bourbon', refill), 3],
    ],
    people: {
      regaugeMean: 2.3,
      weighShare: 0.35,
      blunderShare: 0.03,
      leakPerYear: 0.01,
      sampleEveryYears: 2,
      partBottlingShare: 0.01,
      loggedShare: 0.85,
      nominalFillShare: 0.25,
    },
  },
  {
    id: 'S5',
    description: 'hot dry, insulated shed, 3 tiers',
    spirit: 'malt spirit',
    hemisphere: 'south',
    floors: 3,
    sensorFloors: [0, 2],
    cutoff: '2024-12-31',
    filledYearsAgo: [8, 0.5],
    indoorLogYears: 4,
    outdoorLogYears: 8,
    weather: {
      meanC: 18,
      swingC: 8.5,
      dayToDayC: 3,
      meanHumidity: 0.52,
      humiditySwing: 0.1,
      yearSdC: 0.5,
    },
    indoors: {
      lagDays: 6,
      warmerPerFloorC: 1.2,
      drierPerFloor: 0.02,
      damp: 0.06,
      shareOfOutdoorVapour: 1,
    },
    fillStrength: [57, 63.5],
    casks: [
      [kind('barrel 200', 200, 'Quercus alba', 'bourbon', refill), 3],
      [kind('barrel 100', 100, 'Quercus alba', 'wine', [0, 0.7, 0.3]), 2],
      [kind('barrique 225', 225, 'Quercus petraea', 'wine', [0, 0.7, 0.3]), 2],
    ],
    people: {
      regaugeMean: 2.4,
      weighShare: 0.5,
      blunderShare: 0.03,
      leakPerYear: 0.015,
      sampleEveryYears: 2,
      partBottlingShare: 0.01,
      loggedShare: 0.85,
      nominalFillShare: 0.2,
    },
  },
  {
    id: 'S6',
    description: 'mountain inland, palletised modern store',
    spirit: 'grain spirit',
    hemisphere: 'north',
    floors: 4,
    sensorFloors: [1, 3],
    cutoff: '2023-08-31',
    filledYearsAgo: [16, 0.5],
    indoorLogYears: 8,
    outdoorLogYears: 9,
    weather: {
      meanC: 10,
      swingC: 9.5,
      dayToDayC: 3.5,
      meanHumidity: 0.66,
      humiditySwing: 0.06,
      yearSdC: 0.55,
    },
    indoors: {
      lagDays: 8,
      warmerPerFloorC: 0.9,
      drierPerFloor: 0.02,
      damp: 0,
      shareOfOutdoorVapour: 0.97,
    },
    fillStrength: [60, 66],
    casks: [
      [kind('barrel 200', 200, 'Quercus alba', 'bourbon', refill, 'upright'), 5],
      [kind('barrel 200', 200, 'Quercus alba', 'none', newWood, 'upright'), 2],
      [kind('barrique 225', 225, 'Quercus petraea', 'wine', [0, 0.7, 0.3]), 1],
    ],
    people: {
      regaugeMean: 2,
      weighShare: 0.5,
      blunderShare: 0.025,
      leakPerYear: 0.006,
      sampleEveryYears: 3,
      partBottlingShare: 0.01,
      loggedShare: 0.9,
      nominalFillShare: 0.2,
    },
  },
];
