import { Global, Module } from '@nestjs/common';
import { FORECAST } from '../journal/forecast.port.ts';
import { Forecasts } from './forecasts.ts';
import { Learning } from './learning.ts';
import { MaturationController } from './maturation.controller.ts';
import { LossRates } from './loss-rates.ts';
import { Suspicions } from './suspicions.ts';

/** Global for the journal's sake: it asks what was expected whenever a gauge comes in. Owners' statements ask too. */
@Global()
@Module({
  controllers: [MaturationController],
  providers: [
    Learning,
    Forecasts,
    Suspicions,
    LossRates,
    { provide: FORECAST, useExisting: Forecasts },
  ],
  exports: [FORECAST, Forecasts],
})
export class MaturationModule {}
