import { Module } from '@nestjs/common';
import { Papers } from './papers.ts';

@Module({ providers: [Papers], exports: [Papers] })
export class ReportsModule {}
