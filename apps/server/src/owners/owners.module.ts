import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { ReportsModule } from '../reports/reports.module.ts';
import { OwnersController } from './owners.controller.ts';
import { Statements } from './statements.ts';

@Module({
  imports: [JournalModule, ReportsModule],
  controllers: [OwnersController],
  providers: [Statements],
})
export class OwnersModule {}
