import { Controller, Get, Inject, Post } from '@nestjs/common';
import { acceptAuditFile } from '#backoffice/audit-file/accept';
import { listAuditFiles } from '#backoffice/audit-file/read';
import { stageAuditFile } from '#backoffice/audit-file/stage';
import type { Backoffice } from '#backoffice/dependencies';
import { acceptAuditFileSchema, auditFileSchema, auditFilesSchema, auditUploadQuerySchema } from '#contracts/audit-file';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

/** A machine with a hundred products sends some 10 kB. */
const LARGEST_FILE_BYTES = 1024 * 1024;

const upload = {
  access: 'audit-file.stage',
  summary: 'Upload audit data of a machine to be checked',
  description:
    'A transmission of EVA DTS as the machine sent it, byte for byte. Its counts, its checksum and its totals are checked; what does not add up is refused by its element (`CA302`). ' +
    'It is matched to the machine by serial number (ID101) or by the tag as its number (ID106). Nothing of it is a reading before it is accepted.',
  query: auditUploadQuerySchema,
  upload: { mediaType: 'application/octet-stream', limitBytes: LARGEST_FILE_BYTES },
  status: 201,
  answer: auditFileSchema,
  problems: ['file-not-readable', 'invalid-command', 'file-accepted-before', 'wrong-state'],
} as const;
const list = { access: 'audit-file.read', summary: 'List audit data read out at a collection', params: idParamsSchema, answer: auditFilesSchema } as const;
const accept = {
  access: 'audit-file.accept',
  summary: 'Accept audit data as the readings of its machine at the collection',
  params: idParamsSchema,
  body: acceptAuditFileSchema,
  answer: auditFileSchema,
  once: true,
  problems: ['file-not-readable', 'invalid-command', 'file-accepted-before', 'wrong-state'],
} as const;

@Controller('v1')
export class AuditFileController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Post('audit-files')
  @Endpoint(upload)
  upload(@Asked() { caller, query, body }: AskedFor<typeof upload>) {
    return stageAuditFile(this.backoffice, caller, { ...query, bytes: body });
  }

  @Get('collections/:id/audit-files')
  @Endpoint(list)
  list(@Asked() { caller, params }: AskedFor<typeof list>) {
    return listAuditFiles(this.backoffice, caller, { collectionId: params.id });
  }

  @Post('audit-files/:id/accept')
  @Endpoint(accept)
  accept(@Asked() { caller, params, body }: AskedFor<typeof accept>) {
    return acceptAuditFile(this.backoffice, caller, { ...params, ...body });
  }
}
