#include "tools/results/structure_checksums.hpp"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <string_view>
#include <zlib.h>

#include "tools/results/store_error.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::string_view table_mark = "pulsewright-structure-1";
constexpr std::size_t most_in_a_piece = std::size_t{1} << 16U;

struct Entry {
  std::uint64_t offset = 0;
  std::uint32_t length = 0;
  std::uint32_t checksum = 0;
};
struct Footer {
  char mark[24] = {};
  char date[24] = {};
  std::uint64_t pieces = 0;
  std::uint32_t checksum = 0;
  std::uint32_t zero = 0;
};
static_assert(sizeof(Entry) == 16 && sizeof(Footer) == 64, "stored as they are in memory");

std::uint32_t checksum_of_piece(const PosixFile& file, std::uint64_t offset, std::size_t length) {
  std::vector<std::byte> bytes(length);
  file.read(offset, bytes);
  return checksum_of(bytes);
}

std::string text_at(const PosixFile& file, std::uint64_t offset, std::size_t length) {
  std::string text(length, '\0');
  file.read(offset, std::as_writable_bytes(std::span(text)));
  return text;
}

bool has_footer(const PosixFile& file) {
  const std::uint64_t size = file.size();
  return size >= sizeof(Footer) &&
         text_at(file, size - sizeof(Footer), table_mark.size()) == table_mark;
}

std::span<const std::byte> before_checksum(const std::vector<std::byte>& table) {
  return std::span(table).first(table.size() - sizeof(Footer) + offsetof(Footer, checksum));
}

}  // namespace

std::uint32_t checksum_of(std::span<const std::byte> bytes) {
  return static_cast<std::uint32_t>(
      ::crc32_z(0, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size()));
}

std::vector<StructurePiece> structure_pieces(const PosixFile& file, std::vector<ByteRange> values) {
  std::sort(values.begin(), values.end(),
            [](const ByteRange& a, const ByteRange& b) { return a.offset < b.offset; });
  values.push_back({file.size(), 0});
  std::vector<StructurePiece> pieces;
  std::uint64_t at = 0;
  for (const auto& range : values) {
    while (at < range.offset) {
      const auto length = std::min<std::uint64_t>(most_in_a_piece, range.offset - at);
      pieces.push_back({at, static_cast<std::uint32_t>(length),
                        checksum_of_piece(file, at, static_cast<std::size_t>(length))});
      at += length;
    }
    at = std::max(at, range.offset + range.length);
  }
  return pieces;
}

void append_structure_table(PosixFile& file, const std::vector<StructurePiece>& pieces,
                            const std::string& date) {
  std::vector<std::byte> table(pieces.size() * sizeof(Entry) + sizeof(Footer));
  std::byte* at = table.data();
  for (const auto& piece : pieces) {
    const Entry entry{piece.offset, piece.length, piece.checksum};
    std::memcpy(at, &entry, sizeof entry);
    at += sizeof entry;
  }
  Footer footer;
  table_mark.copy(footer.mark, sizeof footer.mark - 1);
  date.copy(footer.date, sizeof footer.date - 1);
  footer.pieces = pieces.size();
  std::memcpy(at, &footer, sizeof footer);
  footer.checksum = checksum_of(before_checksum(table));
  std::memcpy(at, &footer, sizeof footer);
  file.write(file.size(), table);
}

std::optional<StructureTable> read_structure_table(const PosixFile& file) {
  if (!has_footer(file)) return std::nullopt;
  const std::uint64_t size = file.size();
  Footer footer;
  file.read(size - sizeof footer, std::as_writable_bytes(std::span(&footer, 1)));
  if (footer.pieces > (size - sizeof footer) / sizeof(Entry)) return std::nullopt;
  std::vector<std::byte> table(footer.pieces * sizeof(Entry) + sizeof footer);
  StructureTable result;
  result.end_of_values = size - table.size();
  file.read(result.end_of_values, table);
  if (checksum_of(before_checksum(table)) != footer.checksum) return std::nullopt;
  for (std::size_t i = 0; i < footer.pieces; ++i) {
    Entry entry;
    std::memcpy(&entry, table.data() + i * sizeof entry, sizeof entry);
    result.pieces.push_back({entry.offset, entry.length, entry.checksum});
  }
  result.date = std::string(footer.date, ::strnlen(footer.date, sizeof footer.date));
  return result;
}

std::optional<StructurePiece> first_changed_piece(const PosixFile& file,
                                                  const StructureTable& table) {
  for (const auto& piece : table.pieces) {
    if (checksum_of_piece(file, piece.offset, piece.length) != piece.checksum) return piece;
  }
  return std::nullopt;
}

std::vector<ByteRange> value_ranges(const StructureTable& table) {
  std::vector<ByteRange> ranges;
  std::uint64_t at = 0;
  for (const auto& piece : table.pieces) {
    if (piece.offset > at) ranges.push_back({at, piece.offset - at});
    at = piece.offset + piece.length;
  }
  if (table.end_of_values > at) ranges.push_back({at, table.end_of_values - at});
  return ranges;
}

bool looks_like_results(const std::string& path) {
  const PosixFile file(path, PosixFile::Mode::read_only);
  if (has_footer(file)) return true;
  constexpr std::string_view signature = "\x89HDF\r\n\x1a\n";  // of every HDF5 file
  if (file.size() < signature.size() || text_at(file, 0, signature.size()) != signature) {
    return false;
  }
  constexpr std::size_t chunk = std::size_t{1} << 20U;
  constexpr std::size_t overlap = 64;  // a mark may lie across the border of two chunks
  const std::uint64_t size = file.size();
  for (std::uint64_t at = 0; at < size; at += chunk - overlap) {
    const auto length = static_cast<std::size_t>(std::min<std::uint64_t>(chunk, size - at));
    if (text_at(file, at, length).find("pulsewright-results") != std::string::npos) return true;
  }
  return false;
}

}  // namespace pulsewright::tools
