import { Module, type DynamicModule } from '@nestjs/common';
import { ClimateModule } from './climate/climate.module.ts';
import { JobsModule } from './jobs/jobs.module.ts';
import { PlatformModule } from './platform/platform.module.ts';
import { JournalModule } from './journal/journal.module.ts';
import { SessionModule } from './session/session.module.ts';

/** The composition root: the one place that sees every feature. */
@Module({})
export class AppModule {
  static with(platform: Parameters<typeof PlatformModule.with>[0]): DynamicModule {
    return {
      module: AppModule,
      imports: [
        PlatformModule.with(platform),
        SessionModule,
        JournalModule,
        JobsModule,
        ClimateModule,
      ],
    };
  }
}
