/**
 * Standard uncertainties (k = 1) of the readings a gauging starts from. Unless a line says otherwise they
 * are common practice with no published source: replace them with your instruments' certificates.
 */
export type ReadingUncertainties = {
  /** A rod read through the bung against the wet line, mm. */
  readonly dipMm: number;
  /** Litres of a cask whose capacity follows from three lengths and an assumed figure, relative. */
  readonly capacityFromGeometryRelative: number;
  /** Litres of a cask whose brim-full capacity was metered or weighed, relative. */
  readonly capacityMeasuredRelative: number;
  /** A platform scale with a cask on it, kg. */
  readonly grossKg: number;
  /** A stencilled tare: the wood has soaked up or lost water since, kg. */
  readonly tareKg: number;
  /** Air density where no barometer was read: cellar weather and altitudes below 500 m, kg/m³. */
  readonly airDensityKgPerM3: number;
  /**
   * A volumetric meter, relative: a maximum permissible error of 0.5 % (accuracy class 0.5 of OIML R 117,
   * from memory) taken as a rectangular distribution, 0.5 % / sqrt 3.
   */
  readonly meterRelative: number;
  /** A thermometer in the cask or the jar, °C. */
  readonly temperatureC: number;
  /** A hydrometer read to its 0.1 or 0.2 % vol division, % vol. */
  readonly hydrometerPercentVol: number;
  /** An obscuration determined by evaporation, % vol. */
  readonly obscurationPercentVol: number;
  /** A portable densitometer, kg/m³. */
  readonly densitometerKgPerM3: number;
  /** The thermometer inside a densitometer, °C. */
  readonly densitometerTemperatureC: number;
  /** A laboratory's report, % vol. */
  readonly laboratoryPercentVol: number;
  /** Litres of a document that states no uncertainty, relative. */
  readonly declaredLitresRelative: number;
  /** Strength of a document that states no uncertainty, % vol. */
  readonly declaredPercentVol: number;
};

export const DEFAULT_READING_UNCERTAINTIES: ReadingUncertainties = {
  dipMm: 2,
  capacityFromGeometryRelative: 0.01,
  capacityMeasuredRelative: 0.003,
  grossKg: 0.2,
  tareKg: 1,
  airDensityKgPerM3: 0.03,
  meterRelative: 0.005 / Math.sqrt(3),
  temperatureC: 0.2,
  hydrometerPercentVol: 0.1,
  obscurationPercentVol: 0.05,
  densitometerKgPerM3: 0.05,
  densitometerTemperatureC: 0.05,
  laboratoryPercentVol: 0.03,
  declaredLitresRelative: 0.003,
  declaredPercentVol: 0.1,
};
