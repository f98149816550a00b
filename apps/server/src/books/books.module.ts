import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { BooksController } from './books.controller.ts';
import { Returns } from './returns.ts';

@Module({ imports: [JournalModule], controllers: [BooksController], providers: [Returns] })
export class BooksModule {}
