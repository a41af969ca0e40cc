/* Diagnostics as JSON and as SARIF 2.1.0. */
#include <jansson.h>
#include <string.h>

#include "runtime/write/diag_write.h"
#include "runtime/write/json_util.h"

static source_place end_of(const source_set *sources, span at) {
	at.start = at.end;
	return source_find(sources, at);
}

static const char *level(const diag *g) { return g->severity == DIAG_ERROR ? "error" : "warning"; }

/* ---- JSON -------------------------------------------------------------------------------------- */

static void set_place(json_t *o, const source_set *sources, span at) {
	source_place p = source_find(sources, at);
	if (!p.file) return;
	source_place e = end_of(sources, at);
	json_util_put(o, "file", json_util_text(p.file));
	json_util_put(o, "line", json_util_whole((long long)p.line));
	json_util_put(o, "column", json_util_whole((long long)p.column));
	json_util_put(o, "end_line", json_util_whole((long long)e.line));
	json_util_put(o, "end_column", json_util_whole((long long)e.column));
}

void diag_json(textbuf *out, const diags *d, const source_set *sources) {
	json_t *all = json_util_object(), *list = json_util_array();
	for (size_t i = 0; i < d->all.n; i++) {
		const diag *g = d->all.v[i];
		json_t *o = json_util_object(), *notes = json_util_array();
		json_util_put(o, "severity", json_util_text(level(g)));
		json_util_put(o, "rule", json_util_text(g->rule));
		json_util_put(o, "text", json_util_text(g->text));
		set_place(o, sources, g->at);
		for (size_t k = 0; k < g->notes.n; k++) {
			json_t *n = json_util_object();
			json_util_put(n, "text", json_util_text(g->notes.v[k].text));
			set_place(n, sources, g->notes.v[k].at);
			json_util_add(notes, n);
		}
		json_util_put(o, "notes", notes);
		if (g->help) json_util_put(o, "help", json_util_text(g->help));
		if (g->allowed) json_util_put(o, "allowed", json_util_text(g->allowed));
		json_util_add(list, o);
	}
	json_util_put(all, "diagnostics", list);
	if (d->failures.n) {
		json_t *failures = json_util_array();
		for (size_t i = 0; i < d->failures.n; i++) json_util_add(failures, json_util_text(d->failures.v[i]));
		json_util_put(all, "failures", failures);
	}
	json_util_put(all, "errors", json_util_whole((long long)d->errors));
	json_util_put(all, "warnings", json_util_whole((long long)d->warnings));
	textbuf_add(out, json_util_dump(out->mem, all, NULL));
	json_decref(all);
}

/* ---- SARIF ------------------------------------------------------------------------------------- */

/* A path as a URI reference (RFC 3986): every byte but the unreserved ones and "/" is percent-encoded. */
static json_t *uri(arena *mem, const char *path) {
	textbuf b = textbuf_begin(mem);
	if (*path == '/') textbuf_add(&b, "file://");
	for (const char *p = path; *p; p++) {
		char c = *p;
		bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
			     strchr("-._~/", c);
		if (plain)
			textbuf_char(&b, c);
		else
			textbuf_printf(&b, "%%%02X", (unsigned char)c);
	}
	return json_util_text(b.v);
}

/* A message string: braces stand double, since single ones hold placeholders (3.11.5), and a "](" would make a link of
 * what stands before it (3.11.6). */
static json_t *message(arena *mem, const char *from) {
	textbuf b = textbuf_begin(mem);
	for (const char *p = from; *p; p++) {
		if (*p == '{' || *p == '}') textbuf_char(&b, *p);
		if (*p == ']' && p[1] == '(') textbuf_char(&b, '\\');
		textbuf_char(&b, *p);
	}
	json_t *o = json_util_object();
	json_util_put(o, "text", json_util_text(b.v));
	return o;
}

/* NULL when the span has no file. What `--set` gave is no file either: its words stand for the place. */
static json_t *location(arena *mem, const source_set *sources, span at) {
	source_place p = source_find(sources, at);
	if (!p.file) return NULL;
	if (text_same(p.file, "--set")) {
		json_t *o = json_util_object();
		const char *words = arena_printf(mem, "--set: %.*s", (int)p.line_size, p.line_text);
		json_util_put(o, "message", message(mem, words));
		return o;
	}
	source_place e = end_of(sources, at);
	json_t *region = json_util_object(), *artifact = json_util_object(), *physical = json_util_object(),
	       *o = json_util_object();
	json_util_put(region, "startLine", json_util_whole((long long)p.line));
	json_util_put(region, "startColumn", json_util_whole((long long)p.column));
	json_util_put(region, "endLine", json_util_whole((long long)e.line));
	json_util_put(region, "endColumn", json_util_whole((long long)e.column));
	json_util_put(artifact, "uri", uri(mem, p.file));
	json_util_put(physical, "artifactLocation", artifact);
	json_util_put(physical, "region", region);
	json_util_put(o, "physicalLocation", physical);
	return o;
}

/* Notes with a place are related locations; those without go to the properties. */
static void set_notes(arena *mem, json_t *result, const diag *g, const source_set *sources) {
	json_t *related = json_util_array(), *bare = json_util_array(), *properties = json_util_object();
	for (size_t i = 0; i < g->notes.n; i++) {
		json_t *l = location(mem, sources, g->notes.v[i].at);
		if (l) {
			json_util_put(l, "id", json_util_whole((long long)json_array_size(related) + 1));
			json_util_put(l, "message", message(mem, g->notes.v[i].text));
			json_util_add(related, l);
		} else {
			json_util_add(bare, json_util_text(g->notes.v[i].text));
		}
	}
	if (json_array_size(related)) json_object_set(result, "relatedLocations", related);
	if (json_array_size(bare)) json_object_set(properties, "notes", bare);
	if (g->help) json_util_put(properties, "help", json_util_text(g->help));
	if (json_object_size(properties)) json_object_set(result, "properties", properties);
	json_decref(related);
	json_decref(bare);
	json_decref(properties);
}

static size_t rule_index(arena *mem, json_t *rules, const char *rule, diag_about about) {
	size_t n = json_array_size(rules);
	for (size_t i = 0; i < n; i++)
		if (text_same(json_string_value(json_object_get(json_array_get(rules, i), "id")), rule)) return i;
	json_t *o = json_util_object();
	json_util_put(o, "id", json_util_text(rule));
	const char *sentence = about ? about(rule) : NULL;
	if (sentence) json_util_put(o, "shortDescription", message(mem, sentence));
	json_util_add(rules, o);
	return n;
}

static json_t *result_of(arena *mem, const diag *g, const source_set *sources, size_t index) {
	json_t *o = json_util_object(), *places = json_util_array();
	json_util_put(o, "ruleId", json_util_text(g->rule));
	json_util_put(o, "ruleIndex", json_util_whole((long long)index));
	json_util_put(o, "level", json_util_text(level(g)));
	json_util_put(o, "message", message(mem, g->text));
	json_t *l = location(mem, sources, g->at);
	if (l) json_util_add(places, l);
	json_util_put(o, "locations", places);
	set_notes(mem, o, g, sources);
	/* All results of a run have the list or none has (3.27.23): an empty one says "not suppressed". */
	json_t *suppressions = json_util_array();
	if (g->allowed) {
		json_t *s = json_util_object();
		json_util_put(s, "kind", json_util_text(g->by_command ? "external" : "inSource"));
		json_util_put(s, "justification", json_util_text(g->allowed));
		json_util_add(suppressions, s);
	}
	json_util_put(o, "suppressions", suppressions);
	return o;
}

/* A run that could not read or write something has failed (3.20.14, 3.20.21); one that found faults has not. */
static json_t *invocation(arena *mem, const diags *d) {
	json_t *o = json_util_object(), *list = json_util_array();
	json_util_put(o, "executionSuccessful", d->failures.n ? json_false() : json_true());
	for (size_t i = 0; i < d->failures.n; i++) {
		json_t *n = json_util_object();
		json_util_put(n, "level", json_util_text("error"));
		json_util_put(n, "message", message(mem, d->failures.v[i]));
		json_util_add(list, n);
	}
	json_util_put(o, "toolExecutionNotifications", list);
	return o;
}

void diag_sarif(textbuf *out, const diags *d, const source_set *sources, const char *version, diag_about about) {
	json_t *log = json_util_object(), *runs = json_util_array(), *run = json_util_object(),
	       *tool = json_util_object(), *driver = json_util_object();
	json_t *rules = json_util_array(), *results = json_util_array();
	for (size_t i = 0; i < d->all.n; i++) {
		size_t index = rule_index(out->mem, rules, d->all.v[i]->rule, about);
		json_util_add(results, result_of(out->mem, d->all.v[i], sources, index));
	}
	json_util_put(driver, "name", json_util_text("windchest"));
	if (version) json_util_put(driver, "version", json_util_text(version));
	json_util_put(driver, "rules", rules);
	json_util_put(tool, "driver", driver);
	json_util_put(run, "tool", tool);
	json_t *invocations = json_util_array();
	json_util_add(invocations, invocation(out->mem, d));
	json_util_put(run, "invocations", invocations);
	json_util_put(run, "columnKind", json_util_text("unicodeCodePoints"));
	json_util_put(run, "results", results);
	json_util_add(runs, run);
	json_util_put(
		log, "$schema",
		json_util_text("https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"));
	json_util_put(log, "version", json_util_text("2.1.0"));
	json_util_put(log, "runs", runs);
	textbuf_add(out, json_util_dump(out->mem, log, NULL));
	json_decref(log);
}
