import { isWritten } from '#statement/words/languages';

/**
 * The language, with its region, that a request asks for by Accept-Language (RFC 9110, section 12.5.4), of those that we
 * write; undefined where it asks for none of them.
 */
export function languageAsked(header: string | undefined): string | undefined {
  const ranges = (header ?? '').split(',').map((range) => {
    const [tag = '', ...parameters] = range.split(';').map((part) => part.trim());
    const quality = parameters.map((parameter) => /^q=(0(?:\.\d{0,3})?|1(?:\.0{0,3})?)$/i.exec(parameter)?.[1]).find((value) => value !== undefined);
    return { tag, quality: quality === undefined ? 1 : Number(quality) };
  });
  // Of two that are wanted alike the one that is named first: sorting keeps their order.
  return ranges.filter(({ tag, quality }) => quality > 0 && /^[a-z]{2,3}(-[a-z0-9]{2,8})*$/i.test(tag) && isWritten(tag)).toSorted((one, other) => other.quality - one.quality)[0]?.tag;
}
