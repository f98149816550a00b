import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { LineageModule } from '../lineage/lineage.module.ts';
import { Aisle } from './aisle.ts';
import { CaskCards } from './cask-card.ts';
import { CaskList } from './cask-list.ts';
import { CasksController } from './casks.controller.ts';
import { ScanLookUp } from './scan.ts';

@Module({
  imports: [JournalModule, LineageModule],
  controllers: [CasksController],
  providers: [CaskList, CaskCards, ScanLookUp, Aisle],
})
export class CasksModule {}
