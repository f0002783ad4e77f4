// Photos that the program would not take as they are: too heavy, too many pixels, or of a kind
// that only the browser reads (HEIC on a Mac or an iPhone, WebP). Drawn again here, with what
// the camera wrote of its lens, which helps to measure.

const enough = 12e6; // pixels: as many as phones of every price take
const most = 64e6; // pixels: the program takes fewer than these

// Tags of EXIF (TIFF 6.0, EXIF 2.3).
const make = 0x010f, model = 0x0110, exifAt = 0x8769, focal35 = 0xa405;

/** The width and height that a JPEG's or PNG's header gives; null where it gives none. */
export function pixelsOf(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length > 24 && view.getUint32(0) === 0x89504e47) return [view.getUint32(16), view.getUint32(20)];
  if (bytes.length < 4 || view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; at + 9 < bytes.length;) {
    const marker = view.getUint16(at);
    if (marker >> 8 !== 0xff) return null;
    // A frame begins: C0 to CF but the tables C4 and CC and the extension C8.
    if (marker >= 0xffc0 && marker <= 0xffcf && ![0xffc4, 0xffc8, 0xffcc].includes(marker)) return [view.getUint16(at + 7), view.getUint16(at + 5)];
    at += 2 + view.getUint16(at + 2);
  }
  return null;
}

/** Maker, model and focal length (as of 35 mm film) by the EXIF in the first bytes of a JPEG or
 *  a HEIC: { make, model, focal }, each only where it is said. */
export function lensOf(bytes) {
  const said = {};
  const sign = [0x45, 0x78, 0x69, 0x66, 0, 0]; // "Exif" and two noughts stand before it in both
  let from = -1;
  for (let i = 0; i + 14 < bytes.length && from < 0; i++) if (sign.every((byte, j) => bytes[i + j] === byte)) from = i + 6;
  if (from < 0) return said;
  const tiff = new DataView(bytes.buffer, bytes.byteOffset + from, bytes.byteLength - from);
  const little = tiff.getUint16(0) === 0x4949;
  const u16 = (at) => tiff.getUint16(at, little);
  const u32 = (at) => tiff.getUint32(at, little);
  const text = (at) => {
    const size = u32(at + 4);
    const start = size > 4 ? u32(at + 8) : at + 8;
    return String.fromCharCode(...bytes.subarray(from + start, from + start + Math.min(size, 64))).split('\0')[0];
  };
  const read = (directory) => {
    for (let i = 0, at = directory + 2; i < u16(directory) && i < 200; i++, at += 12) {
      const tag = u16(at);
      if (tag === make) said.make = text(at);
      else if (tag === model) said.model = text(at);
      else if (tag === focal35) said.focal = u16(at + 8);
      else if (tag === exifAt) read(u32(at + 8));
    }
  };
  try {
    read(u32(4));
  } catch (trouble) {
    if (!(trouble instanceof RangeError)) throw trouble; // cut off or made up: what was read holds
  }
  return said;
}

/** The APP1 segment of a JPEG that says these; the picture in it stands upright already. */
function segment({ make: by = '', model: named = '', focal = 0 }) {
  const ascii = (text) => [...text].map((letter) => letter.charCodeAt(0) & 127).concat(0, 0, 0, 0); // never so short that it lies in its row
  const texts = [[make, ascii(by)], [model, ascii(named)]];
  const rows = [...texts.map(([tag, bytes]) => [tag, 2, bytes.length]), [exifAt, 4, 1]];
  const second = 8 + 2 + rows.length * 12 + 4;
  let end = second + 2 + 12 + 4;
  const tiff = new DataView(new ArrayBuffer(end + texts.reduce((sum, [, bytes]) => sum + bytes.length, 0)));
  tiff.setUint32(0, 0x4d4d002a);
  tiff.setUint32(4, 8);
  tiff.setUint16(8, rows.length);
  rows.forEach(([tag, type, count], i) => {
    const at = 10 + i * 12;
    tiff.setUint16(at, tag);
    tiff.setUint16(at + 2, type);
    tiff.setUint32(at + 4, count);
    tiff.setUint32(at + 8, texts[i] ? end : second);
    for (const byte of texts[i]?.[1] ?? []) tiff.setUint8(end++, byte);
  });
  tiff.setUint16(second, 1);
  tiff.setUint16(second + 2, focal35);
  tiff.setUint16(second + 4, 3);
  tiff.setUint32(second + 6, 1);
  tiff.setUint16(second + 10, focal);
  const head = new DataView(new ArrayBuffer(10));
  head.setUint16(0, 0xffe1);
  head.setUint16(2, 8 + tiff.byteLength);
  head.setUint32(4, 0x45786966);
  return [head, tiff];
}

const loaded = (url) => new Promise((resolve, reject) => {
  const picture = new Image();
  picture.onload = () => resolve(picture);
  picture.onerror = reject;
  picture.src = url;
});

/** HEIC by its first bytes, whatever the file is called (ISO 23008-12: the brands of HEIF). */
export async function isHeic(file) {
  const head = String.fromCharCode(...new Uint8Array(await file.slice(4, 12).arrayBuffer()));
  return /^ftyp(hei[cfsmx]|hev[cmsx]|mif1|msf1)$/.test(head);
}

/** Whether the program would not take the file as it is. */
export async function needs(file, largest) {
  const pixels = file.size <= largest && pixelsOf(new Uint8Array(await file.slice(0, 1 << 20).arrayBuffer()));
  return !pixels || pixels[0] * pixels[1] >= most;
}

/** The photo drawn again as a JPEG of at most 12 megapixels, upright; null where this browser
 *  cannot read it or has no room for it. */
export async function shrink(file) {
  const url = URL.createObjectURL(file);
  try {
    const picture = await loaded(url); // only its header: the pixels come when it is drawn
    const by = Math.min(1, Math.sqrt(enough / (picture.naturalWidth * picture.naturalHeight)));
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(picture.naturalWidth * by);
    canvas.height = Math.round(picture.naturalHeight * by);
    const pen = canvas.getContext('2d');
    pen.imageSmoothingQuality = 'high';
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    const drawn = await new Promise((resolve) => { canvas.toBlob(resolve, 'image/jpeg', 0.93); });
    canvas.width = 0; // a phone has few such canvases: give this one back at once
    if (!drawn) return null;
    const lens = lensOf(new Uint8Array(await file.slice(0, 1 << 20).arrayBuffer()));
    const parts = lens.focal ? [drawn.slice(0, 2), ...segment(lens), drawn.slice(2)] : [drawn];
    return new File(parts, `${file.name.replace(/\.\w+$/, '')}.jpg`, { type: 'image/jpeg' });
  } catch {
    return null;
  } finally {
    URL.revokeObjectURL(url);
  }
}
