// The report: one HTML file that holds data, script and style, and needs no network.
#pragma once

#include <cstddef>
#include <string>

#include "tools/dyno/dyno_curves.hpp"
#include "tools/search/search_record.hpp"
#include "tools/study/display_units.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// The page of a results file, read in all detail. Texts from the case stand in it as data only,
// never as HTML. `units` are those that it begins with; the reader may switch. dyno: what was
// measured, null without.
std::string report_page(const StudyResults& results, UnitSystem units,
                        const DynoResult* dyno = nullptr);

// Writes the page beside `path` and renames it into place; returns its size in bytes. An existing
// file is replaced only if it is such a page. Throws std::invalid_argument if it is something else
// or the program was built without the page, std::runtime_error if it cannot be written.
std::size_t write_report(const StudyResults& results, const std::string& path, UnitSystem units,
                         const DynoResult* dyno = nullptr);

// The same of a search, from its findings. Throws std::invalid_argument too where it has none yet.
std::size_t write_search_report(const SearchRecord& record, const std::string& path,
                                UnitSystem units);

// Refuses what write_report would refuse, for callers that have long work to do before it; in a
// program that was built without the page, everything.
void require_report_place(const std::string& path);

}  // namespace pulsewright::tools
