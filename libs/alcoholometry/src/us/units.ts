import { requireFinite } from '../out-of-range.ts';

/** Litres in a wine gallon: 231 cubic inches of 25.4 mm (27 CFR 30.11). */
export const LITRES_PER_WINE_GALLON = 3.785411784;
/** Kilograms in an avoirdupois pound, exact. */
export const KG_PER_POUND = 0.45359237;
/** Pounds, weighed in air, of a wine gallon of water at 60 °F (27 CFR 21.161). */
export const WATER_POUNDS_PER_WINE_GALLON = 8.32823;
/** 60 °F, the temperature proof and gallons are stated at, in °C. */
export const SIXTY_F_IN_C = (60 - 32) / 1.8;

/** Degrees Celsius from degrees Fahrenheit. */
export function celsiusFromFahrenheit(temperatureF: number): number {
  requireFinite('temperature', temperatureF, '°F');
  return (temperatureF - 32) / 1.8;
}

/** Degrees Fahrenheit from degrees Celsius. */
export function fahrenheitFromCelsius(temperatureC: number): number {
  requireFinite('temperature', temperatureC, '°C');
  return temperatureC * 1.8 + 32;
}
