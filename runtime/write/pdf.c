#include "runtime/write/pdf.h"

#include <hpdf.h>
#include <hpdf_catalog.h>
#include <hpdf_encrypt.h>
#include <hpdf_font.h>
#include <hpdf_fontdef.h>
#include <hpdf_info.h>
#include <hpdf_namedict.h>
#include <hpdf_page_label.h>
#include <hpdf_pages.h>
#include <hpdf_utils.h>
#include <math.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/draw/font.h"
#include "runtime/write/pack.h"
#include "runtime/write/pdf_page.h"

enum { MOST_LEVELS = 8 };
static const double LARGEST_MM = 14400 / PDF_POINTS_PER_MM;

typedef struct hash {
	uint64_t a, b;
} hash;

typedef struct job {
	arena *mem;
	arena page_mem; /* for one page after the other */
	pack pack;
	hash id;
	textbuf content; /* of a page */
	HPDF_Doc doc;
	jmp_buf back;	     /* to pdf_write, when the library reports an error */
	const char *problem; /* the first one */
	const display *const *pages;
	size_t n;
	const pdf_info *info;
	HPDF_Page *page;
	HPDF_Font font[DISPLAY_FONT_COUNT];
	unsigned char used[DISPLAY_FONT_COUNT][0x10000 / 8]; /* characters that the library was asked about */
	char **bytes;
	size_t *size;
} job;

static void fail(job *j, const char *problem) {
	if (!j->problem) j->problem = problem;
	longjmp(j->back, 1);
}

static void on_error(HPDF_STATUS error, HPDF_STATUS detail, void *user) {
	job *j = user;
	fail(j, arena_printf(j->mem, "the PDF library reports error 0x%04lX (detail %lu)", (unsigned long)error,
			     (unsigned long)detail));
}

/* Many internal functions give NULL or a status without calling the handler. */
static void must(job *j, bool good, const char *doing) {
	if (!good) fail(j, arena_printf(j->mem, "the PDF library failed while %s", doing));
}

/* ---- packed streams -------------------------------------------------------------------------------- */

static void hash_bytes(hash *h, const void *bytes, size_t n) { /* FNV-1a, two of them with different starts */
	const unsigned char *p = bytes;
	for (size_t i = 0; i < n; i++) {
		h->a = (h->a ^ p[i]) * 0x100000001B3ULL;
		h->b = (h->b ^ (p[i] + (h->a >> 56))) * 0x100000001B3ULL;
	}
}
static void hash_text(hash *h, const char *text) {
	if (text) hash_bytes(h, text, strlen(text) + 1);
}

static HPDF_STATUS write_filter(HPDF_Dict stream, HPDF_Stream out) {
	(void)stream;
	return HPDF_Stream_WriteStr(out, "/Filter /FlateDecode\012");
}

/* The library packs each stream anew at a level that takes half of a book's time: it gets packed bytes, and only the
 * name of the filter is left for it to write. */
static void fill_stream(job *j, HPDF_Dict stream, const void *bytes, size_t size, const char *doing) {
	size_t n = 0;
	arena_clear(&j->page_mem);
	const unsigned char *packed = pack_bytes(&j->pack, &j->page_mem, bytes, size, &n);
	must(j, packed != NULL, doing);
	hash_bytes(&j->id, packed, n);
	stream->filter = HPDF_STREAM_FILTER_NONE;
	stream->write_fn = write_filter;
	must(j, HPDF_Stream_Write(stream->stream, packed, (HPDF_UINT)n) == HPDF_OK, doing);
}

/* ---- text strings ---------------------------------------------------------------------------------- */

/* A text string as UTF-16 with its mark: the library's own encoders are for page text. */
static HPDF_Binary text_string(job *j, const char *text) {
	size_t n = strlen(text), at = 2;
	HPDF_BYTE *v = arena_alloc(j->mem, 2 + 4 * n);
	v[0] = 0xFE, v[1] = 0xFF;
	const char *p = text, *end = text + n;
	while (p < end) {
		uint32_t c = text_utf8_next(&p, end);
		if (c == UINT32_MAX) c = 0xFFFD;
		uint32_t unit[2] = {c, 0};
		size_t units = 1;
		if (c > 0xFFFF) {
			unit[0] = 0xD800 + ((c - 0x10000) >> 10), unit[1] = 0xDC00 + ((c - 0x10000) & 0x3FF);
			units = 2;
		}
		for (size_t k = 0; k < units; k++) {
			v[at++] = (HPDF_BYTE)(unit[k] >> 8);
			v[at++] = (HPDF_BYTE)(unit[k] & 0xFF);
		}
	}
	HPDF_Binary b = HPDF_Binary_New(j->doc->mmgr, v, (HPDF_UINT)at);
	must(j, b != NULL, "making a text string");
	return b;
}

static void set_text(job *j, HPDF_Dict dict, const char *key, const char *text) {
	must(j, HPDF_Dict_Add(dict, key, text_string(j, text)) == HPDF_OK, "adding a text string");
}

/* ---- fonts ------------------------------------------------------------------------------------------- */

/* The library's map from codes to characters is refused by readers ("begincidrange"). Codes are
 * characters here, so ranges that map to themselves, cut at multiples of 256, say it all. */
static void mend_to_unicode(job *j, HPDF_Font font) {
	static const char BEGIN[] = "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
				    "/CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> def\n"
				    "/CMapName /PlanText def\n/CMapType 2 def\n"
				    "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
	static const char END[] = "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";
	HPDF_FontAttr attr = font->attr;
	if (!attr->cmap_stream) return;
	textbuf ranges = textbuf_begin(j->mem), all = textbuf_begin(j->mem);
	size_t count = 0;
	textbuf_add(&all, BEGIN);
	for (size_t i = 0; i < FONT_GLYPH_COUNT;) {
		size_t k = i + 1;
		while (k < FONT_GLYPH_COUNT && FONT_GLYPHS[k].code == FONT_GLYPHS[k - 1].code + 1 &&
		       FONT_GLYPHS[k].code % 256 != 0)
			k++;
		textbuf_printf(&ranges, "<%04X> <%04X> <%04X>\n", (unsigned)FONT_GLYPHS[i].code,
			       (unsigned)FONT_GLYPHS[k - 1].code, (unsigned)FONT_GLYPHS[i].code);
		count++;
		i = k;
		if (count == 100 || i == FONT_GLYPH_COUNT) { /* at most 100 ranges in a block */
			textbuf_printf(&all, "%zu beginbfrange\n%sendbfrange\n", count, ranges.v);
			ranges = textbuf_begin(j->mem);
			count = 0;
		}
	}
	textbuf_add(&all, END);
	HPDF_Stream s = attr->cmap_stream->stream;
	HPDF_MemStream_FreeData(s);
	s->size = 0;
	must(j, HPDF_Stream_Write(s, (const HPDF_BYTE *)all.v, (HPDF_UINT)all.n) == HPDF_OK, "mapping text");
	HPDF_Dict system = HPDF_Dict_GetItem(attr->cmap_stream, "CIDSystemInfo", HPDF_OCLASS_DICT);
	if (system)
		must(j, HPDF_Dict_Add(system, "Ordering", HPDF_String_New(j->doc->mmgr, "Identity", NULL)) == HPDF_OK,
		     "mapping text");
}

static HPDF_Font load_font(job *j, display_font which) {
	size_t size;
	const unsigned char *bytes = font_bytes(which, &size);
	HPDF_Doc doc = j->doc;
	HPDF_Stream stream = HPDF_MemStream_New(doc->mmgr, (HPDF_UINT)size);
	must(j, stream != NULL, "loading a font");
	if (HPDF_Stream_Write(stream, bytes, (HPDF_UINT)size) != HPDF_OK) {
		HPDF_Stream_Free(stream);
		fail(j, "the PDF library failed while loading a font");
	}
	HPDF_FontDef def = HPDF_TTFontDef_Load(doc->mmgr, stream, HPDF_TRUE); /* owns the stream from here on */
	must(j, def != NULL, "loading a font");
	if (HPDF_List_Add(doc->fontdef_list, def) != HPDF_OK) {
		HPDF_FontDef_Free(def);
		fail(j, "the PDF library failed while loading a font");
	}
	memcpy(doc->ttfont_tag, which == FONT_BOLD ? "PLANSB" : "PLANSA", 6);
	HPDF_TTFontDef_SetTagName(def, (char *)doc->ttfont_tag);
	HPDF_Font font = HPDF_GetFont(doc, def->base_font, "UTF-8");
	must(j, font != NULL, "loading a font");
	mend_to_unicode(j, font);
	return font;
}

/* ---- pages ------------------------------------------------------------------------------------------- */

/* The library embeds the glyphs whose widths were asked for. */
static void mark_used(job *j, const display *d) {
	for (size_t i = 0; i < d->items.n; i++) {
		const display_item *item = &d->items.v[i];
		if (item->kind != ITEM_TEXT) continue;
		HPDF_FontDef def = ((HPDF_FontAttr)j->font[item->style.font]->attr)->fontdef;
		const char *p = item->text, *end = p + strlen(p);
		while (p < end) {
			HPDF_UINT16 c = (HPDF_UINT16)text_utf8_next(&p, end);
			unsigned char *seen = &j->used[item->style.font][c >> 3], bit = (unsigned char)(1U << (c & 7));
			if (*seen & bit) continue;
			*seen |= bit;
			HPDF_TTFontDef_GetCharWidth(def, c);
		}
	}
}

static void add_page(job *j, size_t i) {
	const display *d = j->pages[i];
	HPDF_Page page = HPDF_AddPage(j->doc);
	must(j, page != NULL, "adding a page");
	j->page[i] = page;
	HPDF_Page_SetWidth(page, (HPDF_REAL)(d->w * PDF_POINTS_PER_MM));
	HPDF_Page_SetHeight(page, (HPDF_REAL)(d->h * PDF_POINTS_PER_MM));
	const char *name[DISPLAY_FONT_COUNT];
	for (int f = 0; f < DISPLAY_FONT_COUNT; f++) {
		name[f] = HPDF_Page_GetLocalFontName(page, j->font[f]);
		must(j, name[f] != NULL, "naming a font");
	}
	mark_used(j, d);
	j->content.n = 0;
	pdf_page_content(&j->content, d, name);
	fill_stream(j, ((HPDF_PageAttr)page->attr)->contents, j->content.v, j->content.n, "writing a page");
}

/* A target that keeps the reader's zoom. */
static HPDF_Destination target(job *j, size_t page, double x_mm, double y_mm) {
	HPDF_Page p = j->page[page];
	HPDF_Destination t = HPDF_Page_CreateDestination(p);
	must(j, t != NULL, "making a target");
	HPDF_Array_Clear(t);
	double y = (j->pages[page]->h - y_mm) * PDF_POINTS_PER_MM;
	bool good = HPDF_Array_Add(t, p) == HPDF_OK && HPDF_Array_AddName(t, "XYZ") == HPDF_OK &&
		    HPDF_Array_AddReal(t, (HPDF_REAL)(x_mm * PDF_POINTS_PER_MM)) == HPDF_OK &&
		    HPDF_Array_AddReal(t, (HPDF_REAL)y) == HPDF_OK && HPDF_Array_AddNumber(t, 0) == HPDF_OK;
	must(j, good, "making a target");
	return t;
}

static void add_links(job *j, size_t i) {
	const display *d = j->pages[i];
	for (size_t k = 0; k < d->links.n; k++) {
		const display_link *link = &d->links.v[k];
		HPDF_Destination to = NULL;
		for (size_t p = 0; p < j->n && !to; p++)
			for (size_t a = 0; a < j->pages[p]->anchors.n && !to; a++) {
				const display_anchor *at = &j->pages[p]->anchors.v[a];
				if (text_same(at->name, link->to)) to = target(j, p, at->x, at->y);
			}
		if (!to) fail(j, arena_printf(j->mem, "a link on page %zu leads nowhere: \"%s\"", i + 1, link->to));
		HPDF_Rect r = {(HPDF_REAL)(link->box.x0 * PDF_POINTS_PER_MM),
			       (HPDF_REAL)((d->h - link->box.y1) * PDF_POINTS_PER_MM),
			       (HPDF_REAL)(link->box.x1 * PDF_POINTS_PER_MM),
			       (HPDF_REAL)((d->h - link->box.y0) * PDF_POINTS_PER_MM)};
		HPDF_Annotation a = HPDF_Page_CreateLinkAnnot(j->page[i], r, to);
		must(j, a != NULL, "adding a link");
		HPDF_LinkAnnot_SetBorderStyle(a, 0, 0, 0);
	}
}

static void add_bookmarks(job *j) {
	HPDF_Outline open[MOST_LEVELS + 1] = {NULL};
	bool any = false;
	for (size_t i = 0; i < j->n; i++) {
		for (size_t k = 0; k < j->pages[i]->bookmarks.n; k++) {
			const display_bookmark *b = &j->pages[i]->bookmarks.v[k];
			unsigned level = b->level < 1 ? 1 : b->level > MOST_LEVELS ? MOST_LEVELS : b->level;
			while (level > 1 && !open[level - 1]) level--; /* no gap in the tree */
			HPDF_Outline o = HPDF_CreateOutline(j->doc, open[level - 1], "x", NULL);
			must(j, o != NULL, "adding a bookmark");
			set_text(j, o, "Title", b->title);
			HPDF_Outline_SetDestination(o, target(j, i, 0, b->y));
			HPDF_Outline_SetOpened(o, level == 1);
			open[level] = o;
			for (unsigned deeper = level + 1; deeper <= MOST_LEVELS; deeper++) open[deeper] = NULL;
			any = true;
		}
	}
	if (any) HPDF_SetPageMode(j->doc, HPDF_PAGE_MODE_USE_OUTLINE);
}

static void add_page_labels(job *j) {
	bool any = false;
	for (size_t i = 0; i < j->n; i++) any = any || j->pages[i]->page_label;
	if (!any) return;
	for (size_t i = 0; i < j->n; i++) {
		const char *label = j->pages[i]->page_label;
		if (!label) label = arena_printf(j->mem, "%zu", i + 1);
		HPDF_Dict dict = HPDF_PageLabel_New(j->doc, HPDF_PAGE_NUM_STYLE_DECIMAL, 1, NULL);
		must(j, dict != NULL, "labelling a page");
		HPDF_Dict_RemoveElement(dict, "S");
		HPDF_Dict_RemoveElement(dict, "St");
		set_text(j, dict, "P", label);
		must(j, HPDF_Catalog_AddPageLabel(j->doc->catalog, (HPDF_UINT)i, dict) == HPDF_OK, "labelling a page");
	}
}

/* ---- what the document says of itself -------------------------------------------------------------------- */

/* "D:YYYYMMDDhhmmssZ" from seconds since 1970 (days to civil date by eras of 400 years from March). */
static const char *pdf_date(arena *mem, int64_t seconds) {
	int64_t days = seconds / 86400, rest = seconds % 86400;
	if (rest < 0) rest += 86400, days--;
	int64_t z = days + 719468, era = (z >= 0 ? z : z - 146096) / 146097, doe = z - era * 146097;
	int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365,
		doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
	int64_t mp = (5 * doy + 2) / 153, day = doy - (153 * mp + 2) / 5 + 1, month = mp < 10 ? mp + 3 : mp - 9;
	int64_t year = yoe + era * 400 + (month <= 2);
	return arena_printf(mem, "D:%04d%02d%02d%02d%02d%02dZ", (int)year, (int)month, (int)day, (int)(rest / 3600),
			    (int)(rest / 60 % 60), (int)(rest % 60));
}

static void add_id(job *j) {
	HPDF_BYTE id[16];
	for (int i = 0; i < 8; i++) {
		id[i] = (HPDF_BYTE)(j->id.a >> (56 - 8 * i));
		id[8 + i] = (HPDF_BYTE)(j->id.b >> (56 - 8 * i));
	}
	HPDF_Array array = HPDF_Array_New(j->doc->mmgr);
	must(j, array != NULL, "adding the document's hash");
	must(j, HPDF_Dict_Add(j->doc->trailer, "ID", array) == HPDF_OK, "adding the document's hash");
	for (int i = 0; i < 2; i++)
		must(j, HPDF_Array_Add(array, HPDF_Binary_New(j->doc->mmgr, id, 16)) == HPDF_OK,
		     "adding the document's hash");
}

static void add_info(job *j) {
	const pdf_info *i = j->info;
	/* Makes the dictionary; the library had put its own name there. */
	HPDF_SetInfoAttr(j->doc, HPDF_INFO_PRODUCER, "x");
	HPDF_Dict info = j->doc->info;
	must(j, info != NULL, "adding the title");
	set_text(j, info, "Producer", i->producer ? i->producer : "Windchest");
	if (i->title) set_text(j, info, "Title", i->title);
	if (i->author) set_text(j, info, "Author", i->author);
	if (i->subject) set_text(j, info, "Subject", i->subject);
	if (i->has_date) {
		const char *date = pdf_date(j->mem, i->date);
		for (int k = 0; k < 2; k++)
			must(j,
			     HPDF_Dict_Add(info, k ? "ModDate" : "CreationDate",
					   HPDF_String_New(j->doc->mmgr, date, NULL)) == HPDF_OK,
			     "adding the date");
	}
	if (i->language)
		must(j,
		     HPDF_Dict_Add(j->doc->catalog, "Lang", HPDF_String_New(j->doc->mmgr, i->language, NULL)) ==
			     HPDF_OK,
		     "adding the language");
	HPDF_SetViewerPreference(j->doc, HPDF_PRINT_SCALING_NONE);
	HPDF_Dict view = HPDF_Dict_GetItem(j->doc->catalog, "ViewerPreferences", HPDF_OCLASS_DICT);
	if (view && i->title)
		must(j, HPDF_Dict_AddBoolean(view, "DisplayDocTitle", HPDF_TRUE) == HPDF_OK, "adding the title");
}

/* ---- files that go along ------------------------------------------------------------------------------------ */

static void md5(const char *bytes, size_t size, HPDF_BYTE sum[16]) {
	struct HPDF_MD5Context c;
	HPDF_MD5Init(&c);
	HPDF_MD5Update(&c, (const HPDF_BYTE *)bytes, (HPDF_UINT32)size);
	HPDF_MD5Final(sum, &c);
}

const char *pdf_checksum(arena *mem, const char *bytes, size_t size) {
	HPDF_BYTE sum[16];
	md5(bytes, size, sum);
	textbuf t = textbuf_begin(mem);
	for (int i = 0; i < 16; i++) textbuf_printf(&t, "%02x", (unsigned)sum[i]);
	return t.v;
}

/* The stream of bytes, with its size and checksum (ISO 32000-1, 7.11.4). */
static HPDF_Dict file_stream(job *j, const pdf_file *f) {
	HPDF_Doc doc = j->doc;
	HPDF_BYTE sum[16];
	HPDF_Dict stream = HPDF_DictStream_New(doc->mmgr, doc->xref);
	must(j, stream != NULL, "attaching a file");
	HPDF_Dict params = HPDF_Dict_New(doc->mmgr);
	must(j, params && HPDF_Dict_Add(stream, "Params", params) == HPDF_OK, "attaching a file");
	md5(f->bytes, f->size, sum);
	bool good = HPDF_Dict_AddName(stream, "Type", "EmbeddedFile") == HPDF_OK &&
		    HPDF_Dict_AddNumber(params, "Size", (HPDF_INT32)f->size) == HPDF_OK &&
		    HPDF_Dict_Add(params, "CheckSum", HPDF_Binary_New(doc->mmgr, sum, 16)) == HPDF_OK;
	must(j, good, "attaching a file");
	fill_stream(j, stream, f->bytes, f->size, "attaching a file");
	return stream;
}

static int by_name(const void *a, const void *b) {
	return strcmp((*(const pdf_file *const *)a)->name, (*(const pdf_file *const *)b)->name);
}

static void add_files(job *j) {
	HPDF_Doc doc = j->doc;
	if (!j->info->n_files) return;
	HPDF_NameDict names = HPDF_NameDict_New(doc->mmgr, doc->xref);
	HPDF_NameTree tree = HPDF_NameTree_New(doc->mmgr, doc->xref);
	HPDF_Array list = tree ? HPDF_Dict_GetItem(tree, "Names", HPDF_OCLASS_ARRAY) : NULL;
	must(j, names && list, "attaching a file");
	must(j, HPDF_NameDict_SetNameTree(names, HPDF_NAME_EMBEDDED_FILES, tree) == HPDF_OK, "attaching a file");
	must(j, HPDF_Catalog_SetNames(doc->catalog, names) == HPDF_OK, "attaching a file");
	const pdf_file **in_order = ARENA_MANY(j->mem, const pdf_file *, j->info->n_files);
	for (size_t i = 0; i < j->info->n_files; i++) in_order[i] = &j->info->file[i];
	qsort(in_order, j->info->n_files, sizeof *in_order, by_name); /* a name tree is sorted */
	for (size_t i = 0; i < j->info->n_files; i++) {
		const pdf_file *f = in_order[i];
		HPDF_Dict spec = HPDF_Dict_New(doc->mmgr), embedded = HPDF_Dict_New(doc->mmgr);
		must(j, spec && HPDF_Xref_Add(doc->xref, spec) == HPDF_OK, "attaching a file");
		must(j, embedded && HPDF_Dict_Add(spec, "EF", embedded) == HPDF_OK, "attaching a file");
		must(j, HPDF_Dict_AddName(spec, "Type", "Filespec") == HPDF_OK, "attaching a file");
		must(j, HPDF_Dict_Add(embedded, "F", file_stream(j, f)) == HPDF_OK, "attaching a file");
		must(j, HPDF_Dict_Add(spec, "F", HPDF_String_New(doc->mmgr, f->name, NULL)) == HPDF_OK,
		     "attaching a file");
		set_text(j, spec, "UF", f->name);
		if (f->about) set_text(j, spec, "Desc", f->about);
		HPDF_String key = HPDF_String_New(doc->mmgr, f->name, NULL);
		/* Not by the library's own call, which orders by length. */
		must(j, key && HPDF_Array_Add(list, key) == HPDF_OK && HPDF_Array_Add(list, spec) == HPDF_OK,
		     "attaching a file");
	}
}

/* ---- the whole -------------------------------------------------------------------------------------------- */

static void build(job *j) {
	j->pack = pack_begin();
	j->content = textbuf_begin(j->mem);
	j->id = (hash){0xCBF29CE484222325ULL, 0x9E3779B97F4A7C15ULL};
	hash_text(&j->id, j->info->title);
	hash_text(&j->id, j->info->author);
	hash_text(&j->id, j->info->subject);
	HPDF_SetCompressionMode(j->doc, HPDF_COMP_ALL);
	HPDF_UseUTFEncodings(j->doc);
	for (int f = 0; f < DISPLAY_FONT_COUNT; f++) j->font[f] = load_font(j, (display_font)f);
	for (size_t i = 0; i < j->n; i++) add_page(j, i);
	for (size_t i = 0; i < j->n; i++) add_links(j, i);
	add_bookmarks(j);
	add_page_labels(j);
	add_files(j);
	add_info(j);
	add_id(j);
	must(j, HPDF_SaveToStream(j->doc) == HPDF_OK, "writing the document");
	HPDF_UINT32 size = HPDF_GetStreamSize(j->doc);
	must(j, size > 0 && HPDF_ResetStream(j->doc) == HPDF_OK, "reading the document back");
	char *bytes = arena_alloc(j->mem, size);
	HPDF_UINT32 got = size;
	HPDF_STATUS status = HPDF_ReadFromStream(j->doc, (HPDF_BYTE *)bytes, &got);
	must(j, (status == HPDF_OK || status == HPDF_STREAM_EOF) && got == size, "reading the document back");
	*j->bytes = bytes;
	*j->size = size;
}

static const char *unfit(arena *mem, const display *const *pages, size_t n) {
	if (!n) return "a document without pages";
	for (size_t i = 0; i < n; i++) {
		if (pages[i]->bad)
			return arena_printf(mem, "page %zu has %zu item%s with a coordinate that is no number", i + 1,
					    pages[i]->bad, pages[i]->bad == 1 ? "" : "s");
		if (pages[i]->w > LARGEST_MM || pages[i]->h > LARGEST_MM)
			return arena_printf(mem, "page %zu is %.0f x %.0f mm; PDF ends at %.0f mm", i + 1, pages[i]->w,
					    pages[i]->h, LARGEST_MM);
	}
	return NULL;
}

const char *pdf_write(arena *mem, const display *const *pages, size_t n, const pdf_info *info, char **bytes,
		      size_t *size) {
	const char *problem = unfit(mem, pages, n);
	if (problem) return problem;
	arena seen = {0};
	for (size_t i = 0; info->told && i < n; i++) {
		arena_clear(&seen);
		display_text_faults(&seen, pages[i], arena_printf(&seen, "%s, page %zu", info->name, i + 1),
				    info->told);
	}
	arena_end(&seen);
	/* In the arena, not on the stack: its values must survive the jump. */
	job *j = ARENA_NEW(mem, job);
	j->mem = mem, j->pages = pages, j->n = n, j->info = info, j->bytes = bytes, j->size = size;
	j->page = ARENA_MANY(mem, HPDF_Page, n);
	if (setjmp(j->back) == 0) {
		j->doc = HPDF_New(on_error, j);
		must(j, j->doc != NULL, "beginning a document");
		build(j);
	}
	if (j->doc) HPDF_Free(j->doc);
	pack_end(&j->pack);
	arena_end(&j->page_mem);
	return j->problem;
}
