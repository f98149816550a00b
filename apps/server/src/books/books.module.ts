import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { ReportsModule } from '../reports/reports.module.ts';
import { AccountTermsOf } from './account-terms.ts';
import { BooksController } from './books.controller.ts';
import { Deliveries } from './deliveries.ts';
import { MonthCloses } from './month-closes.ts';
import { ReturnFiles } from './return-files.ts';
import { Returns } from './returns.ts';

@Module({
  imports: [JournalModule, ReportsModule],
  controllers: [BooksController],
  providers: [Returns, AccountTermsOf, MonthCloses, Deliveries, ReturnFiles],
})
export class BooksModule {}
