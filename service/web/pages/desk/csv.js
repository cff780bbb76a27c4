// Tables as text: whole records of a CSV file, whatever its separator, and pieces of it that the service takes.

/**
 * The text of a file: UTF-8, UTF-16 where it says so, or what older spreadsheet programs write.
 * @param {ArrayBuffer} bytes
 * @returns {{text: string, guessed: boolean}} guessed: it is no UTF, so letters may be wrong
 */
export function textOf(bytes) {
  const [first, second] = new Uint8Array(bytes.slice(0, 2));
  if (first === 0xff && second === 0xfe) return { text: new TextDecoder("utf-16le").decode(bytes), guessed: false };
  if (first === 0xfe && second === 0xff) return { text: new TextDecoder("utf-16be").decode(bytes), guessed: false };
  try {
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(bytes), guessed: false };
  } catch {
    return { text: new TextDecoder("windows-1252").decode(bytes), guessed: true };
  }
}

/**
 * The records of a table, each with its line end; a quoted cell may have line ends.
 * @param {string} text
 */
export function records(text) {
  const found = [];
  let start = 0;
  let quoted = false;
  for (let index = 0; index < text.length; index += 1) {
    if (text[index] === '"') quoted = !quoted;
    else if (text[index] === "\n" && !quoted) {
      found.push(text.slice(start, index + 1));
      start = index + 1;
    }
  }
  if (start < text.length) found.push(text.slice(start));
  while (found.length && !hasContent(found[0])) found.shift();
  return found;
}

/**
 * Whether a record has any cell with content; the service counts and answers no other.
 * @param {string} record
 */
export function hasContent(record) {
  return /[^\s;,"]/.test(record);
}

/**
 * The cells of a record.
 * @param {string} record
 * @param {string} separator
 */
export function cells(record, separator) {
  const found = [];
  let cell = "";
  let quoted = false;
  const line = record.replace(/\r?\n$/, "");
  for (let index = 0; index < line.length; index += 1) {
    const sign = line[index];
    if (quoted && sign === '"' && line[index + 1] === '"') {
      cell += sign;
      index += 1;
    } else if (sign === '"') quoted = !quoted;
    else if (sign === separator && !quoted) {
      found.push(cell);
      cell = "";
    } else cell += sign;
  }
  return [...found, cell];
}

/**
 * What stands before the rows: a line that names the separator, where there is one, and the header.
 * @param {string[]} all
 */
export function head(all) {
  return all[0]?.toLowerCase().startsWith("sep=") ? 2 : 1;
}

/** @param {string} header */
export function separatorOf(header) {
  return [";", "\t", ","].reduce((best, sign) => (header.split(sign).length > header.split(best).length ? sign : best), ",");
}

/**
 * The rows in pieces of at most so many bytes, each with the head.
 * @param {string[]} all records
 * @param {number} bytesMax
 */
export function pieces(all, bytesMax) {
  const encoder = new TextEncoder();
  const before = all.slice(0, head(all)).map((record) => (record.endsWith("\n") ? record : `${record}\n`)).join("");
  const found = [];
  let piece = before;
  let bytes = encoder.encode(before).length;
  const least = bytes;
  for (const record of all.slice(head(all))) {
    const more = encoder.encode(record).length;
    if (bytes > least && bytes + more > bytesMax) {
      found.push(piece);
      [piece, bytes] = [before, least];
    }
    piece += record;
    bytes += more;
  }
  return [...found, piece];
}
