/**
 * Where each result of this library comes from, in one line a reader can look up: for a screen or a record
 * that shows a figure with its source.
 */
export const FORMULA_SOURCES = {
  density: 'OIML R 22 (1973), general formula',
  strength: 'Directive 76/766/EEC, annex, par. 1, on densities of OIML R 22',
  volumeAt20C: 'ratio of densities, OIML R 22',
  hydrometer: 'OIML R 22, with the expansion of soda-lime glass, 25e-6 per °C',
  densityInAir: 'OIML D 28: air 1.2 kg/m³, weights 8000 kg/m³',
  mixing: 'masses of ethanol and water add; volume and strength by OIML R 22',
  reduction: 'the mass of ethanol stays; volume and strength by OIML R 22',
  usProof: '27 CFR 30.11, on densities of OIML R 22',
  usTrueProof: '27 CFR 30.23 and Table 1',
  usWeights: '27 CFR 30, Tables 4 and 5',
  usVolumeFactor: '27 CFR 30, Table 7',
  usWater: '27 CFR 30.64 and 30.66, Table 6',
  usObscuration: '27 CFR 30.32(b)',
  dutyDownToTenth: 'HMRC, Alcoholic products technical guide, section 11',
  uncertainty: 'JCGM 100:2008 (GUM), first order',
} as const;
