# Makes a C table of the pages of the rules: awk -f compiler/rule_pages.awk docs/rules/*.page
# Each page becomes an array of its lines, so that no literal is longer than C11 promises. Any POSIX awk.
function name_of(path) {
	sub(/^.*\//, "", path)
	sub(/\.page$/, "", path)
	return path
}
function close_page() { if (pages) print "\tNULL};" }
BEGIN { print "/* Made from docs/rules/ by compiler/rule_pages.awk. */\n#include \"compiler/rule_pages.h\"\n" }
FNR == 1 {
	close_page()
	name[++pages] = name_of(FILENAME)
	printf "static const char *const PAGE_%d[] = {\n", pages
}
{
	gsub(/\\/, "\\\\")
	gsub(/"/, "\\\"")
	gsub(/\?/, "\\?") # no trigraphs
	gsub(/\t/, "\\t")
	print "\t\"" $0 "\","
}
END {
	close_page()
	print "\nconst rule_page_text RULE_PAGES[] = {"
	for (i = 1; i <= pages; i++) printf "\t{\"%s\", PAGE_%d},\n", name[i], i
	print "\t{NULL, NULL}};"
	printf "const size_t N_RULE_PAGES = %d;\n", pages
}
