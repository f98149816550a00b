import { Module } from '@nestjs/common';
import { ActDoor } from './act-door.ts';
import { History } from './history.ts';
import { JournalController } from './journal.controller.ts';

@Module({
  controllers: [JournalController],
  providers: [ActDoor, History],
  exports: [ActDoor, History],
})
export class JournalModule {}
