// Bytes as text for the page.
#pragma once

#include <span>
#include <string>

namespace pulsewright::tools {

// RFC 4648, section 4.
std::string base64(std::span<const unsigned char> bytes);

}  // namespace pulsewright::tools
