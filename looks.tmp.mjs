import { launch, openPage, phone, tablet, laptop } from './tests/page/browser.mjs';
const [address, which, mode] = process.argv.slice(2);
const size = { phone, tablet, laptop }[which];
const browser = await launch();
const page = await openPage(browser, `${address}/`, size, { dark: mode === 'dark' });
page.setDefaultTimeout(20000);
for (const [name, ...parts] of [['sew', 'quilts', 'Tideline', 'sew'], ['join', 'quilts', 'Tideline', 'assemble'], ['finish', 'quilts', 'Tideline', 'finish'], ['foresee', 'quilts', 'Tideline', 'foresee'], ['story', 'quilts', 'Tideline', 'story'], ['done', 'quilts', 'Low Water', 'story'], ['record', 'record'], ['fabric', 'record', '3'], ['quilts', 'quilts'], ['settings', 'settings']]) {
  await page.place(...parts);
  await page.waitForTimeout(900);
  for (const d of await page.locator('details > summary').all()) await d.click({ timeout: 1500 }).catch(() => {});
  await page.waitForTimeout(900);
  await page.screenshot({ path: `/tmp/motley/y/${name}-${which}-${mode}.png`, fullPage: true });
}
await browser.close();
