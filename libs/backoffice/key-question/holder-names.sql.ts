import type { KeyHolder } from '#contracts/key-whereabouts';

/** Who or what has a key, by name: columns of a row under a prefix. `kind` is null where the row has no such holder. */
export type HolderNames<Prefix extends string> = { [column in `${Prefix}_kind`]: KeyHolder['kind'] | null } & { [column in `${Prefix}_${'id' | 'code' | 'name'}`]: string } & {
  [column in `${Prefix}_${'site_id' | 'site_code'}`]: string | null;
};

/** The one of three columns that is filled in: `of` is what their names begin with, as `e.from_` of `e.from_person_id`. */
type Named = { readonly of: string; readonly as: string };

export const holderNames = ({ of, as }: Named): string => `
  CASE WHEN ${of}person_id IS NOT NULL THEN 'person' WHEN ${of}store_id IS NOT NULL THEN 'store' WHEN ${of}place_id IS NOT NULL THEN 'place' END AS ${as}_kind,
  coalesce(${of}person_id, ${of}store_id, ${of}place_id) AS ${as}_id,
  coalesce(${as}_person.code, ${as}_store.code, ${as}_place.code) AS ${as}_code,
  coalesce(${as}_person.name, ${as}_store.name, ${as}_place.name) AS ${as}_name,
  ${as}_site.id AS ${as}_site_id, ${as}_site.code AS ${as}_site_code`;

/** The joins that these columns need. */
export const holderNameJoins = ({ of, as }: Named): string => `
  LEFT JOIN person ${as}_person ON ${as}_person.tenant_id = $1 AND ${as}_person.id = ${of}person_id
  LEFT JOIN key_store ${as}_store ON ${as}_store.tenant_id = $1 AND ${as}_store.id = ${of}store_id
  LEFT JOIN key_place ${as}_place ON ${as}_place.tenant_id = $1 AND ${as}_place.id = ${of}place_id
  LEFT JOIN site ${as}_site ON ${as}_site.tenant_id = $1 AND ${as}_site.id = coalesce(${as}_person.site_id, ${as}_place.site_id)`;

/** Both sides of `e`, an alias of rows of custody_event. */
export const sideNames = `${holderNames({ of: 'e.from_', as: 'from' })}, ${holderNames({ of: 'e.to_', as: 'to' })}`;
export const sideJoins = `${holderNameJoins({ of: 'e.from_', as: 'from' })} ${holderNameJoins({ of: 'e.to_', as: 'to' })}`;
