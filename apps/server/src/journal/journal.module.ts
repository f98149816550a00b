import { Module } from '@nestjs/common';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { ActDoor } from './act-door.ts';
import { AttachmentFiles } from './attachment-files.ts';
import { AttachmentSweep } from './attachment-sweep.ts';
import { AttachmentsController } from './attachments.controller.ts';
import { CheckpointsController } from './checkpoints.controller.ts';
import { Checkpoints } from './checkpoints.ts';
import { HeldViews } from './held-views.ts';
import { History } from './history.ts';
import { JournalController } from './journal.controller.ts';
import { SigningKeys } from './signing-keys.ts';

@Module({
  controllers: [JournalController, CheckpointsController, AttachmentsController],
  providers: [
    ActDoor,
    HeldViews,
    History,
    SigningKeys,
    Checkpoints,
    AttachmentSweep,
    {
      provide: AttachmentFiles,
      inject: [SETTINGS],
      useFactory: ({ dataFolder }: Settings) => new AttachmentFiles(dataFolder),
    },
  ],
  exports: [ActDoor, History, SigningKeys, Checkpoints],
})
export class JournalModule {}
