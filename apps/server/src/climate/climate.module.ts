import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { ClimateController } from './climate.controller.ts';
import { ClimateImporter } from './climate-import.ts';

@Module({
  imports: [JournalModule],
  controllers: [ClimateController],
  providers: [ClimateImporter],
})
export class ClimateModule {}
