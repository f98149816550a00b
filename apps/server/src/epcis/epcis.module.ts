import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { EpcisController } from './epcis.controller.ts';
import { EventExports } from './event-exports.ts';
import { EventImports } from './event-imports.ts';

@Module({
  imports: [JournalModule],
  controllers: [EpcisController],
  providers: [EventExports, EventImports],
})
export class EpcisModule {}
