import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { acceptImport, discardImport } from '#backoffice/import/accept';
import { listImportErrors, listImports, readImport } from '#backoffice/import/read';
import { listImportWarnings } from '#backoffice/import/warnings';
import { stageKeys } from '#backoffice/import/keys/stage';
import { stageImport } from '#backoffice/import/stage';
import { idParamsSchema } from '#contracts/format';
import { importErrorListSchema, importFilePageSchema, importFileSchema, importUploadQuerySchema, importWarningListSchema } from '#contracts/import-file';
import { pageQuerySchema } from '#contracts/page';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

/** A year of a large operator is some 10 MB. */
const LARGEST_FILE_BYTES = 64 * 1024 * 1024;

const list = { access: 'import.read', summary: 'List uploaded files, newest first', query: pageQuerySchema, answer: importFilePageSchema } as const;
const upload = {
  access: 'import.create',
  summary: 'Upload a file to be checked',
  description:
    'Of collections, or with kind=keys of key codes, their copies and locks. UTF-8, with or without byte order mark, comma or semicolon. The first line names the columns. Of collections site, collected_on, machine and coin are ' +
    'needed; collected_at, part, removal, note, tokens, house_coin, bad_coin, metered, currency, refund, handed_to_site, collector and accounting_date may be there; of keys code and class are needed, and outside_copies, copy, store, with, found, machine, lock, opens and fitted_on may be. The file is checked as a ' +
    'whole; nothing of it enters the books before it is accepted.',
  query: importUploadQuerySchema,
  upload: { mediaType: 'text/csv', limitBytes: LARGEST_FILE_BYTES },
  status: 201,
  answer: importFileSchema,
  problems: ['file-not-readable', 'file-outdated'],
} as const;
const one = { access: 'import.read', summary: 'Show an uploaded file', params: idParamsSchema, answer: importFileSchema } as const;
const errors = { access: 'import.read', summary: 'List the errors of a file', params: idParamsSchema, answer: importErrorListSchema, spoken: true } as const;
const warnings = { access: 'import.read', summary: 'List what to look at in a file without errors', params: idParamsSchema, answer: importWarningListSchema } as const;
const accept = {
  access: 'import.accept',
  summary: 'Enter a checked file in the books',
  params: idParamsSchema,
  answer: importFileSchema,
  once: true,
  problems: ['wrong-state', 'file-accepted-before', 'file-outdated', 'journal-closed'],
} as const;
const discard = { access: 'import.create', summary: 'Discard a file that was not accepted', params: idParamsSchema, answer: importFileSchema, once: true, problems: ['wrong-state'] } as const;

@Controller('v1/imports')
export class ImportController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listImports(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(upload)
  upload(@Asked() { caller, query, body }: AskedFor<typeof upload>) {
    const { kind, fileName, decimalMark } = query;
    return kind === 'keys' ? stageKeys(this.backoffice, caller, { fileName, bytes: body }) : stageImport(this.backoffice, caller, { fileName, decimalMark, bytes: body });
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readImport(this.backoffice, caller, params.id);
  }

  @Get(':id/errors')
  @Endpoint(errors)
  errors(@Asked() { caller, params }: AskedFor<typeof errors>) {
    return listImportErrors(this.backoffice, caller, params.id);
  }

  @Get(':id/warnings')
  @Endpoint(warnings)
  warnings(@Asked() { caller, params }: AskedFor<typeof warnings>) {
    return listImportWarnings(this.backoffice, caller, params.id);
  }

  @Post(':id/accept')
  @Endpoint(accept)
  accept(@Asked() { caller, params }: AskedFor<typeof accept>) {
    return acceptImport(this.backoffice, caller, params.id);
  }

  @Post(':id/discard')
  @Endpoint(discard)
  discard(@Asked() { caller, params }: AskedFor<typeof discard>) {
    return discardImport(this.backoffice, caller, params.id);
  }
}
