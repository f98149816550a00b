import { Module } from '@nestjs/common';
import { JournalModule } from '../journal/journal.module.ts';
import { Exports } from './exports.ts';
import { Importer } from './importer.ts';
import { ImportsController } from './imports.controller.ts';

@Module({
  imports: [JournalModule],
  controllers: [ImportsController],
  providers: [Importer, Exports],
})
export class ImportsModule {}
