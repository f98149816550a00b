import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { LineageModule } from '../lineage/lineage.module.ts';
import { BottlingsController } from './bottlings.controller.ts';
import { Stories } from './story.ts';

@Module({
  imports: [JournalModule, LineageModule],
  controllers: [BottlingsController],
  providers: [Stories],
})
export class BottlingsModule {}
