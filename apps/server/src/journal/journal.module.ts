import { Module } from '@nestjs/common';
import { NO_FORECAST } from '@rundlet/domain';
import { ActDoor } from './act-door.ts';
import { FORECAST } from './forecast.port.ts';
import { History } from './history.ts';
import { JournalController } from './journal.controller.ts';

@Module({
  controllers: [JournalController],
  providers: [ActDoor, History, { provide: FORECAST, useValue: NO_FORECAST }],
  exports: [ActDoor, History],
})
export class JournalModule {}
