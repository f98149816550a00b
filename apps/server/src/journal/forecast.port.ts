/** Injection token of the domain's ForecastPort: what maturation expects of a filling when a gauge arrives. */
export const FORECAST = Symbol('forecast');
