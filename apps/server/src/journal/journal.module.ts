import { Module } from '@nestjs/common';
import { ActDoor } from './act-door.ts';
import { CheckpointsController } from './checkpoints.controller.ts';
import { Checkpoints } from './checkpoints.ts';
import { HeldViews } from './held-views.ts';
import { History } from './history.ts';
import { JournalController } from './journal.controller.ts';
import { SigningKeys } from './signing-keys.ts';

@Module({
  controllers: [JournalController, CheckpointsController],
  providers: [ActDoor, HeldViews, History, SigningKeys, Checkpoints],
  exports: [ActDoor, History, SigningKeys, Checkpoints],
})
export class JournalModule {}
