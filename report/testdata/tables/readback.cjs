// Reads a workbook with exceljs, reckons every formula in it with
// fast-formula-parser, and prints what it found as JSON. Usage:
// node readback.cjs FILE
const ExcelJS = require("exceljs");
const FormulaParser = require("fast-formula-parser");

const plain = (v) => {
  if (v && typeof v === "object" && "formula" in v) v = v.result ?? 0; // exceljs drops a result of 0; that it is written is tested apart
  if (v && v.richText) v = v.richText.map((p) => p.text).join("");
  if (v instanceof Date) return Math.round(v.getTime() / 86400000) + 25569; // days as a workbook counts them
  if (typeof v === "string") v = v.replace(/_x005F_/g, "_"); // ECMA-376 part 1, 22.9.2.19, which exceljs leaves as it stands
  return v === null || v === undefined ? null : v;
};

(async () => {
  const book = new ExcelJS.Workbook();
  await book.xlsx.readFile(process.argv[2]);
  const sheets = {};
  for (const s of book.worksheets) sheets[s.name] = s;
  const valueAt = (sheet, row, col) => plain(sheets[sheet].getCell(row, col).value);
  const parser = new FormulaParser({
    onCell: ({ sheet, row, col }) => valueAt(sheet, row, col),
    onRange: (r) => {
      const rows = [];
      for (let row = r.from.row; row <= r.to.row; row++) {
        const cells = [];
        for (let col = r.from.col; col <= r.to.col; col++) cells.push(valueAt(r.sheet, row, col));
        rows.push(cells);
      }
      return rows;
    },
  });
  const out = { Sheets: [], Formulas: 0, Wrong: [], Formats: {} };
  for (const s of book.worksheets) {
    const rows = [];
    for (let r = 1; r <= s.rowCount; r++) {
      const cells = [];
      for (let c = 1; c <= s.columnCount; c++) {
        const cell = s.getCell(r, c);
        cells.push(plain(cell.value));
        if (cell.numFmt) out.Formats[cell.numFmt] = (out.Formats[cell.numFmt] || 0) + 1;
        if (!cell.formula) continue;
        out.Formulas++;
        const kept = plain(cell.value);
        let got;
        try {
          got = parser.parse(cell.formula, { sheet: s.name, row: r, col: c });
        } catch (e) {
          got = String(e);
        }
        if (typeof got !== "number" || typeof kept !== "number" || Math.abs(got - kept) > 1e-9 * Math.max(1, Math.abs(kept)))
          out.Wrong.push(`${s.name} ${cell.address}: ${cell.formula} is ${got}, and ${kept} is written`);
      }
      rows.push(cells);
    }
    const view = s.views[0] || {};
    const setup = s.pageSetup;
    out.Sheets.push({ Name: s.name, Frozen: view.ySplit || 0, Paper: setup.paperSize, Wide: setup.orientation, Titles: setup.printTitlesRow || "", Rows: rows });
  }
  out.Wrong = out.Wrong.slice(0, 20);
  process.stdout.write(JSON.stringify(out));
})();
