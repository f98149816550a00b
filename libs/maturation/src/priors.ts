/**
 * What is believed before an estate has regauged anything: published orders of magnitude, with wide
 * doubts. Every one is replaced by what the estate's own regauges say, as far as they say it.
 */

/** Quantities that differ from cask to cask or from estate to estate, in this order everywhere. */
export const THETA = [
  'ln-k-water',
  'ln-k-ethanol',
  'humidity-offset',
  'drift',
  'ln-soakage',
  'headspace',
  'stave-moisture',
  'lag-share',
  'per-degree',
] as const;
export const THETA_COUNT = THETA.length;
export const LN_KW = 0;
export const LN_KE = 1;
export const HUMIDITY = 2;
export const LN_SOAK = 4;
export const STAVE = 6;

/**
 * Water conductance of the wall at ln k_w = 0, mol m⁻² s⁻¹ Pa⁻¹: 8–10e-9 gives the 2–3 % a
 * year of a 200 L cask (UKY stave discs 1.2 ± 0.3 % without leaks; Roussey et al. 2021, J. Food
 * Eng. 291:110233, 20 mL a day from about 225 L).
 */
export const REFERENCE_KW = 8e-9;
/** Ethanol over water: strength stays put near 60–65 % RH at cask strength when this is 0.055–0.07. */
export const REFERENCE_RATIO = 0.0625;
/** Wood soaked per m² of wall: some 3 of 53 US gal into a new charred barrel, 2–3 % of the fill into
 * a refill cask counting evaporation to steady state (common practice, no published source). */
export const SOAK_LITRES_PER_M2 = { first: 2.4, later: 1.4 } as const;
/** Soakage is mostly over in a few months: discs 40–140 d (Feuillat 1994), casks 100 d to the steady
 * rate (Roussey 2021). */
export const SOAK_DAYS = 40;
export const LAG_DAYS = 90;
/** temperature at which the conductances hold, °C */
export const REFERENCE_C = 15;
export const LAG_START_SHARE = 0.35;

export const PRIOR_MEAN: readonly number[] = [0, 0, 0, 0, 0, 0.1, 0.1, 0.5, 0.005];

/** Standard deviations of one cask about its group, before learning. */
export const CASK_SD: readonly number[] = [0.22, 0.22, 0.008, 0.006, 0.3, 0, 0, 0, 0];
/** Correlation of ln k_w and ln k_e of one cask: a tight stave is tight to both. */
export const CASK_CORRELATION = 0.75;

/** Factors of the hierarchy and the standard deviation of one level, by THETA; 0 = not varied. */
export const FACTOR_SD: Readonly<Record<string, readonly number[]>> = {
  site: [0.35, 0.3, 0.03, 0.008, 0.4, 0.15, 0.15, 0.3, 0.008],
  zone: [0.1, 0.1, 0.035, 0, 0.1, 0, 0, 0, 0],
  'blind-zone': [0.12, 0.12, 0.07, 0, 0.1, 0, 0, 0, 0],
  floor: [0.08, 0.08, 0.025, 0, 0.1, 0, 0, 0, 0],
  species: [0.1, 0.1, 0, 0, 0.15, 0, 0, 0, 0],
  previous: [0.08, 0.08, 0, 0, 0.15, 0, 0, 0, 0],
  fill: [0.08, 0.08, 0, 0, 0.25, 0, 0, 0, 0],
  size: [0.08, 0.08, 0, 0, 0.15, 0, 0, 0, 0],
  orientation: [0.06, 0.06, 0, 0, 0.1, 0, 0, 0, 0],
  kind: [0.05, 0.05, 0, 0, 0.1, 0, 0, 0, 0],
  lot: [0.1, 0.1, 0, 0, 0.1, 0, 0, 0, 0],
};

/** Single years of one cask: standard deviation of ln rate. */
export const YEAR_SD = 0.05;
/** What no record can tell about the years to come, shared by all casks of a site: how one year's
 * weather leans on the last (correlation), how decades differ, and how far the law itself may be trusted. */
export const WEATHER_PERSISTENCE = 0.3;
export const DECADE_HUMIDITY_SD = 0.005;
export const DECADE_LN_PRESSURE_SD = 0.012;
export const LAW_LN_RATE_SD = 0.015;
export const LAW_LN_RATE_SD_PER_YEAR = 0.005;
/** The same by the share of the present content that will be gone: how a wall breathes when the level has
 * fallen, and how ethanol and water then part, no reading of today's level tells. */
export const LAW_LN_RATE_SD_PER_LOST = 0.17;
export const LAW_LN_RATIO_SD_PER_LOST = 0.07;
/** Spread of a state's forecast over what the Gaussian picture of it says. */
export const SPREAD_FACTOR = 1.06;
/** A leak that runs may stop by itself, or fall dry: chances that it stops a third and two thirds of
 * the way to a date, and how far its rate may change (common practice, no published source). */
export const LEAK_STOPS_EARLY = 0.15;
export const LEAK_RATE_CHANGES = 0.25;
/** Honest readings taken carelessly: their share, and how much wider they scatter. */
export const SLOPPY_SHARE = 0.025;
export const SLOPPY_SCALE = 2.5;
/** Samples that nobody wrote down, as a share of those that were (common practice, no source). */
export const UNLOGGED_SHARE = 0.13;
/** Where no withdrawal was ever logged: litres a year, and litres² a year, that go unseen. */
export const UNLOGGED_LITRES_PER_YEAR = 0.04;
export const UNLOGGED_SQUARES_PER_YEAR = 0.06;

/** Share of readings that are blunders, before learning. */
export const BLUNDER_SHARE = 0.03;
/** Leaks that begin, per cask and year, before learning. */
export const LEAKS_PER_YEAR = 0.008;
/** A leak's litres a year from a 200 L cask: median and spread of its logarithm. */
export const LEAK_LITRES_PER_YEAR = 5;
export const LEAK_LN_SD = 1;
/** Leaks that stop (sealed of themselves, repaired unrecorded), per leak and year. */
export const LEAK_STOPS_PER_YEAR = 0.15;
/** Larger withdrawals that nobody wrote down, per cask and year. */
export const UNLOGGED_STEPS_PER_YEAR = 0.0003;
/** Share of a dip's variance that is a lasting bias of that cask's dip. */
export const DIP_BIAS_SHARE = 0.36;
