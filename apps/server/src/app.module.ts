import { Module, type DynamicModule } from '@nestjs/common';
import { BlendsModule } from './blends/blends.module.ts';
import { BooksModule } from './books/books.module.ts';
import { BottlingsModule } from './bottlings/bottlings.module.ts';
import { CasksModule } from './casks/casks.module.ts';
import { ClimateModule } from './climate/climate.module.ts';
import { EpcisModule } from './epcis/epcis.module.ts';
import { ImportsModule } from './imports/imports.module.ts';
import { JobsModule } from './jobs/jobs.module.ts';
import { LabelsModule } from './labels/labels.module.ts';
import { JournalModule } from './journal/journal.module.ts';
import { LineageModule } from './lineage/lineage.module.ts';
import { MaturationModule } from './maturation/maturation.module.ts';
import { OwnersModule } from './owners/owners.module.ts';
import { PlacesModule } from './places/places.module.ts';
import { PlatformModule } from './platform/platform.module.ts';
import type { PasswordCost } from './session/passwords.ts';
import { SessionModule } from './session/session.module.ts';
import { StocktakesModule } from './stocktakes/stocktakes.module.ts';

type Composition = Parameters<typeof PlatformModule.with>[0] & {
  readonly passwordCost: PasswordCost | undefined;
};

/** The composition root: the one place that sees every feature. */
@Module({})
export class AppModule {
  static with({ passwordCost, ...platform }: Composition): DynamicModule {
    return {
      module: AppModule,
      imports: [
        PlatformModule.with(platform),
        SessionModule.with(passwordCost),
        JournalModule,
        CasksModule,
        PlacesModule,
        LineageModule,
        StocktakesModule,
        BooksModule,
        OwnersModule,
        ImportsModule,
        EpcisModule,
        BottlingsModule,
        JobsModule,
        ClimateModule,
        MaturationModule,
        LabelsModule,
        BlendsModule,
      ],
    };
  }
}
