import type { GaugeMethod } from './readings.ts';

/** How each way of gauging arrives at its litres, in one line, for a screen or a record. */
export const GAUGING_SOURCES: Readonly<Record<GaugeMethod | 'capacity', string>> = {
  capacity:
    'classical figures of a cask (spheroid, spindle, paraboloid, cone) from inside dimensions',
  dip: 'wet dip, the figure integrated slice by slice; to 20 °C by OIML R 22',
  ullage: 'dry dip, the figure integrated slice by slice; to 20 °C by OIML R 22',
  weight: 'net weight over the density in air, OIML R 22 and D 28',
  meter: 'metered volume, to 20 °C by OIML R 22',
  declared: 'as another document states, at 20 °C',
};
