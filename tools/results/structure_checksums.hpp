// Checksums of all that never changes in a results file: its structure, texts and coordinates. They
// are tested before the HDF5 library sees the file, because the library trusts what it reads: one
// changed bit can make it run off.
//
// The table stands behind the end of the HDF5 file, where no HDF5 reader looks. Little-endian:
//
//   pieces   16 bytes each: offset (8), length (4) and CRC-32 (4) of a piece of the file
//   footer   64 bytes: "pulsewright-structure-1" and a zero byte (24), the date of the file, padded
//            with zeros (24), number of pieces (8), CRC-32 of the table up to here (4), zeros (4)
//
// What lies in no piece are the values of the points, which have checksums of their own
// (`checksum` in FORMAT.md). CRC-32 is that of ISO 3309 and zlib: it sees every change of up
// to 32 bits in a row, others but for one in 4e9.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "tools/results/posix_file.hpp"

namespace pulsewright::tools {

std::uint32_t checksum_of(std::span<const std::byte> bytes);

// A piece of a file without its checksum.
struct ByteRange {
  std::uint64_t offset = 0;
  std::uint64_t length = 0;
};

struct StructurePiece {
  std::uint64_t offset = 0;
  std::uint32_t length = 0;
  std::uint32_t checksum = 0;
  bool operator==(const StructurePiece&) const = default;
};

// Where the values of the points lie is found by whoever laid the file out; all else is structure.
// Throws StoreError.
std::vector<StructurePiece> structure_pieces(const PosixFile& file, std::vector<ByteRange> values);

// Writes the table behind the end of the file. Throws StoreError.
void append_structure_table(PosixFile& file, const std::vector<StructurePiece>& pieces,
                            const std::string& date);

struct StructureTable {
  std::vector<StructurePiece> pieces;  // by offset
  std::string date;                    // of the file
  std::uint64_t end_of_values = 0;     // where the table begins
};

// The table of a file; none if it has none or one that is damaged itself: the file was rewritten by
// another tool, or is of another origin. Throws StoreError if the file cannot be read.
std::optional<StructureTable> read_structure_table(const PosixFile& file);

// The first piece that is not as it was written; none if all are. Throws StoreError.
std::optional<StructurePiece> first_changed_piece(const PosixFile& file,
                                                  const StructureTable& table);

// The parts of the file that hold values of points, by offset.
std::vector<ByteRange> value_ranges(const StructureTable& table);

// Whether a file bears the marks of a results file of any version, damaged or not. Reads bytes
// only. Throws StoreError if the file cannot be read.
bool looks_like_results(const std::string& path);

}  // namespace pulsewright::tools
