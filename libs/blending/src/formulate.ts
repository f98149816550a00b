import { massFractionFromStrength, waterDensity20C } from '@rundlet/alcoholometry';
import { aimLevels } from './aim-costs.ts';
import type { BlendModel, Blocks } from './blend-model.ts';
import { FamilyBuilder } from './family-builder.ts';
import type { BlendProblem } from './problem.ts';
import { wishOf } from './problem-check.ts';
import { RowBuilder } from './row-builder.ts';
import { ETHANOL_KG_PER_LPA, type Stock } from './stock.ts';
import {
  chordVolume,
  tangentVolume,
  totalsFromWindows,
  volumeError,
  type LinearVolume,
} from './vat-geometry.ts';
import type { WaterWish } from './wish.ts';
import { addWishRows } from './wish-rows.ts';

/** What a model is made from, shared by the files that add rows and costs. */
export interface Formulation {
  readonly problem: BlendProblem;
  readonly stock: Stock;
  readonly blocks: Blocks;
  readonly rows: RowBuilder;
  readonly families: FamilyBuilder;
  /** Block of each candidate, −1 when it is not eligible. */
  readonly blockOfCask: Int32Array;
  /** Between these the volume and strength of the vat lie in any case. */
  readonly reach: Windows;
  readonly lpa: number;
  readonly mass: number;
  readonly water: number;
  /** Column of the bulk litres drawn, made when a wish first asks for it. */
  readonly bulkDrawn: () => number;
  /** The linear volume of the vat added to a row with a factor. */
  readonly addVolume: (row: number, factor: number) => void;
}

export interface Windows {
  readonly litres: readonly [number, number];
  readonly percentVol: readonly [number, number];
}

export interface FormulateOptions {
  /**
   * How the volume window is made linear. `inside`: every answer of the model keeps the window.
   * `outside`: no real plan is lost, so bounds and proofs of infeasibility hold. They differ by the
   * tangent's error (4e-8 of the volume at ±0.05 % vol, 2e-5 at ±1).
   */
  readonly volume: 'inside' | 'outside';
  /** A part of the wished windows, to be searched by itself. */
  readonly windows?: Windows;
  /** A wish whose rows may be broken at a cost: see `BlendModel.slackColumns`. */
  readonly slackOn?: string;
}

export function wishedWindows(problem: BlendProblem): Windows {
  const volume = wishOf(problem, 'volume');
  const strength = wishOf(problem, 'strength');
  return {
    litres: [volume.lowLitresAt20C, volume.highLitresAt20C],
    percentVol: [strength.lowPercentVol, strength.highPercentVol],
  };
}

/** Builds the model of a problem over its eligible casks. */
export function formulate(
  problem: BlendProblem,
  stock: Stock,
  eligible: Int32Array,
  options: FormulateOptions,
): BlendModel {
  const windows = options.windows ?? wishedWindows(problem);
  // Where a window is slack, the totals may lie anywhere the stock can bring them.
  const reach = reachOf(problem, stock, windows, options.slackOn);
  const blocks = blocksOf(problem, stock, eligible);
  const blockOfCask = new Int32Array(stock.casks.length).fill(-1);
  for (let b = 0; b < blocks.count; b++) blockOfCask[blocks.cask[b]!] = b;

  const rows = new RowBuilder();
  const totals = totalsFromWindows(reach.litres, reach.percentVol);
  const lpa = rows.addGlobal('lpa', ...totals.lpa);
  const mass = rows.addGlobal('mass', ...totals.massKg);
  const waterWish = problem.wishes.find((w) => w.kind === 'water');
  const waterRange = waterLimits(waterWish, totals.massKg[1]);
  const waterIsSlack = waterWish !== undefined && waterWish.id === options.slackOn;
  const [leastWater, mostWater] = waterIsSlack ? [0, totals.massKg[1]] : waterRange;
  const water = rows.addGlobal('water', leastWater, mostWater);
  if (waterIsSlack) rows.perGlobal(rows.addRow(waterWish.id, ...waterRange), water, 1);
  const middle = massFractionFromStrength((reach.percentVol[0] + reach.percentVol[1]) / 2);
  const addVolume = (form: LinearVolume, row: number, factor: number): void => {
    rows.perGlobal(row, lpa, factor * (form.perEthanolKg - form.perWaterKg) * ETHANOL_KG_PER_LPA);
    rows.perGlobal(row, mass, factor * form.perWaterKg);
  };
  let bulk = -1;
  const bulkDrawn = (): number => {
    if (bulk >= 0) return bulk;
    let most = 0;
    for (let b = 0; b < blocks.count; b++) most += blocks.litres[b]!;
    // Drawn litres weigh at most the vat's mass, and nothing in a cask is lighter than ethanol.
    bulk = rows.addGlobal('bulk', 0, Math.min(most, totals.massKg[1] / ETHANOL_KG_PER_LPA));
    addTotal(bulk, (b) => blocks.litres[b]!);
    return bulk;
  };
  const addTotal = (column: number, of: (block: number) => number): number => {
    const row = rows.addRow(null, 0, 0);
    for (let b = 0; b < blocks.count; b++) rows.perFraction(row, b, of(b));
    rows.perGlobal(row, column, -1);
    return row;
  };
  addTotal(lpa, (b) => stock.litresPureAlcohol[blocks.cask[b]!]!);
  const massRow = addTotal(mass, (b) => stock.massKg[blocks.cask[b]!]!);
  rows.perGlobal(massRow, water, 1);

  const formulation: Formulation = {
    problem,
    stock,
    blocks,
    rows,
    families: new FamilyBuilder(rows, stock, blocks),
    blockOfCask,
    reach,
    lpa,
    mass,
    water,
    bulkDrawn,
    addVolume: (row, factor) => {
      addVolume(tangentVolume(middle), row, factor);
    },
  };
  addStrengthWindow(formulation, windows);
  const forms = [tangentVolume(middle)];
  if (options.volume === 'outside')
    forms.push(
      chordVolume(
        massFractionFromStrength(reach.percentVol[0]),
        massFractionFromStrength(reach.percentVol[1]),
      ),
    );
  for (const form of forms) {
    const [low, high] = linearWindow(form, windows.litres, reach.percentVol, options.volume);
    const row = rows.addRow(wishOf(problem, 'volume').id, low, high);
    addVolume(form, row, 1);
  }
  const partCountRow = addWishRows(formulation);
  const slackColumns = options.slackOn === undefined ? [] : rows.addSlack(options.slackOn);
  const levels = aimLevels(formulation);
  const families = formulation.families.families();
  return {
    blocks,
    rows: rows.rows(),
    perFraction: rows.fractionColumns(blocks.count),
    perOpened: rows.openedColumns(blocks.count),
    globals: rows.globals(),
    families,
    levels: levels.map((level) => level(rows.globalCount, families)),
    partCountRow,
    lpaColumn: lpa,
    massColumn: mass,
    waterColumn: water,
    slackColumns,
  };
}

/** p(low)·M ≤ E ≤ p(high)·M: exact, because strength rises strictly with the mass fraction. */
function addStrengthWindow({ problem, rows, lpa, mass }: Formulation, windows: Windows): void {
  const id = wishOf(problem, 'strength').id;
  const [low, high] = windows.percentVol.map(massFractionFromStrength) as [number, number];
  const atLeast = rows.addRow(id, 0, Infinity);
  rows.perGlobal(atLeast, lpa, ETHANOL_KG_PER_LPA);
  rows.perGlobal(atLeast, mass, -low);
  const atMost = rows.addRow(id, -Infinity, 0);
  rows.perGlobal(atMost, lpa, ETHANOL_KG_PER_LPA);
  rows.perGlobal(atMost, mass, -high);
}

function linearWindow(
  form: LinearVolume,
  [low, high]: readonly [number, number],
  percentVol: readonly [number, number],
  mode: FormulateOptions['volume'],
): [number, number] {
  const { least, most } = volumeError(form, ...percentVol);
  return mode === 'inside'
    ? [low / (1 + least), high / (1 + most)]
    : [low / (1 + most), high / (1 + least)];
}

function reachOf(
  problem: BlendProblem,
  stock: Stock,
  windows: Windows,
  slackOn: string | undefined,
): Windows {
  const total = stock.litres.reduce((sum, litres) => sum + litres, 0);
  return {
    litres:
      slackOn === wishOf(problem, 'volume').id
        ? [Math.min(1, windows.litres[0]), Math.max(windows.litres[1], 3 * total)]
        : windows.litres,
    percentVol:
      slackOn === wishOf(problem, 'strength').id
        ? [
            Math.min(windows.percentVol[0], 5),
            Math.max(windows.percentVol[1], Math.min(100, highestStrength(stock))),
          ]
        : windows.percentVol,
  };
}

function highestStrength(stock: Stock): number {
  return stock.casks.reduce((most, cask) => Math.max(most, cask.strengthPercentVol), 0);
}

function waterLimits(wish: WaterWish | undefined, mostMassKg: number): [number, number] {
  const kgPerLitre = waterDensity20C / 1000;
  return wish
    ? [
        (wish.leastLitresAt20C ?? 0) * kgPerLitre,
        Math.min(wish.mostLitresAt20C * kgPerLitre, mostMassKg),
      ]
    : [0, mostMassKg];
}

/** How each eligible cask may be drawn, from the take wish, the include wishes and the locks. */
function blocksOf(problem: BlendProblem, stock: Stock, eligible: Int32Array): Blocks {
  const count = eligible.length;
  const take = problem.wishes.find((w) => w.kind === 'take');
  const mode = take?.mode ?? 'whole';
  const least = take?.leastPartLitresAt20C ?? 0;
  const heel = take?.leastHeelLitresAt20C ?? 0;
  const included = new Set(problem.wishes.flatMap((w) => (w.kind === 'include' ? w.caskIds : [])));
  const locks = new Map((problem.locks ?? []).map((lock) => [lock.caskId, lock]));
  const blocks: Blocks = {
    count,
    cask: eligible,
    whole: new Uint8Array(count),
    part: new Uint8Array(count),
    leastPart: new Float64Array(count),
    mostPart: new Float64Array(count),
    mustOpen: new Uint8Array(count),
    litres: new Float64Array(count),
  };
  for (let b = 0; b < count; b++) {
    const cask = stock.casks[eligible[b]!]!;
    const litres = cask.bulkLitresAt20C;
    blocks.litres[b] = litres;
    blocks.whole[b] = mode === 'part' ? 0 : 1;
    blocks.leastPart[b] = least / litres;
    blocks.mostPart[b] = 1 - heel / litres;
    blocks.part[b] = mode !== 'whole' && least + heel <= litres && heel < litres ? 1 : 0;
    blocks.mustOpen[b] = included.has(cask.id) ? 1 : 0;
    const lock = locks.get(cask.id);
    if (!lock) continue;
    const drawn = Math.min(1, (lock.bulkLitresAt20C ?? litres) / litres);
    blocks.mustOpen[b] = 1;
    blocks.whole[b] = drawn >= 1 ? 1 : 0;
    blocks.part[b] = drawn >= 1 ? 0 : 1;
    blocks.leastPart[b] = drawn;
    blocks.mostPart[b] = drawn;
  }
  return blocks;
}
