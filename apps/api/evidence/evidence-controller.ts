import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listMailedHeads } from '#backoffice/evidence/list-mailed';
import { listEvidenceTimestamps } from '#backoffice/evidence/list-stamps';
import { proveConsistency, proveInclusion, readEvidenceHead, readEvidenceLeaf } from '#backoffice/evidence/read';
import {
  consistencyQuerySchema,
  consistencySchema,
  evidenceHeadSchema,
  evidenceLeafSchema,
  evidenceTimestampSchema,
  inclusionQuerySchema,
  inclusionSchema,
  leafParamsSchema,
  mailedHeadSchema,
} from '#contracts/evidence';
import { pageQuerySchema, pageSchema } from '#contracts/page';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const head = { access: 'evidence.read', summary: 'Show the present head of the evidence log', answer: evidenceHeadSchema } as const;
const leaf = { access: 'evidence.read', summary: 'Show one entry of the evidence log', params: leafParamsSchema, answer: evidenceLeafSchema } as const;
const inclusion = {
  access: 'evidence.read',
  summary: 'Prove that an entry is under a head',
  query: inclusionQuerySchema,
  answer: inclusionSchema,
  problems: ['not-found', 'invalid-command'],
} as const;
const consistency = {
  access: 'evidence.read',
  summary: 'Prove that an older head is under a newer one',
  query: consistencyQuerySchema,
  answer: consistencySchema,
  problems: ['not-found', 'invalid-command'],
} as const;

const timestamps = {
  access: 'evidence.read',
  summary: 'List heads that a time-stamp authority stamped, the newest first',
  query: pageQuerySchema,
  answer: pageSchema(evidenceTimestampSchema),
  problems: ['invalid-cursor'],
} as const;

const mailedHeads = {
  access: 'evidence.read',
  summary: 'List heads that went out by mail, the newest first',
  query: pageQuerySchema,
  answer: pageSchema(mailedHeadSchema),
  problems: ['invalid-cursor'],
} as const;

@Controller('v1/evidence')
export class EvidenceController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('head')
  @Endpoint(head)
  head(@Asked() { caller }: AskedFor<typeof head>) {
    return readEvidenceHead(this.backoffice, caller);
  }

  @Get('leaves/:index')
  @Endpoint(leaf)
  leaf(@Asked() { caller, params }: AskedFor<typeof leaf>) {
    return readEvidenceLeaf(this.backoffice, caller, params.index);
  }

  @Get('inclusion')
  @Endpoint(inclusion)
  inclusion(@Asked() { caller, query }: AskedFor<typeof inclusion>) {
    return proveInclusion(this.backoffice, caller, query);
  }

  @Get('consistency')
  @Endpoint(consistency)
  consistency(@Asked() { caller, query }: AskedFor<typeof consistency>) {
    return proveConsistency(this.backoffice, caller, query);
  }

  @Get('timestamps')
  @Endpoint(timestamps)
  timestamps(@Asked() { caller, query }: AskedFor<typeof timestamps>) {
    return listEvidenceTimestamps(this.backoffice, caller, query);
  }

  @Get('mailed-heads')
  @Endpoint(mailedHeads)
  listMailedHeads(@Asked() { caller, query }: AskedFor<typeof mailedHeads>) {
    return listMailedHeads(this.backoffice, caller, query);
  }
}
