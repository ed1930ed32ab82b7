#include "models/sizing/tube_stock.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace pulsewright::models {

namespace {

constexpr double tube_inch = 0.0254;  // m

constexpr std::array small_radii{2.0 * tube_inch, 2.5 * tube_inch, 3.0 * tube_inch,
                                 4.0 * tube_inch};
constexpr std::array middle_radii{2.0 * tube_inch, 2.5 * tube_inch, 3.0 * tube_inch,
                                  4.0 * tube_inch, 5.0 * tube_inch, 6.0 * tube_inch};
constexpr std::array two_inch_radii{2.5 * tube_inch, 3.0 * tube_inch, 4.0 * tube_inch,
                                    5.0 * tube_inch, 6.0 * tube_inch};
constexpr std::array large_radii{3.0 * tube_inch, 4.0 * tube_inch, 6.0 * tube_inch};
constexpr std::array largest_radii{3.0 * tube_inch, 4.0 * tube_inch, 5.0 * tube_inch,
                                   6.0 * tube_inch};

constexpr std::array stock{
    StockTube{"1-1/4 in", 1.25 * tube_inch, small_radii},
    StockTube{"1-3/8 in", 1.375 * tube_inch, small_radii},
    StockTube{"1-1/2 in", 1.5 * tube_inch, small_radii},
    StockTube{"1-5/8 in", 1.625 * tube_inch, small_radii},
    StockTube{"1-3/4 in", 1.75 * tube_inch, middle_radii},
    StockTube{"1-7/8 in", 1.875 * tube_inch, middle_radii},
    StockTube{"2 in", 2.0 * tube_inch, two_inch_radii},
    StockTube{"2-1/8 in", 2.125 * tube_inch, two_inch_radii},
    StockTube{"2-1/4 in", 2.25 * tube_inch, large_radii},
    StockTube{"2-3/8 in", 2.375 * tube_inch, large_radii},
    StockTube{"2-1/2 in", 2.5 * tube_inch, largest_radii},
    StockTube{"3 in", 3.0 * tube_inch, largest_radii},
    StockTube{"3-1/2 in", 3.5 * tube_inch, largest_radii},
    StockTube{"4 in", 4.0 * tube_inch, largest_radii},
};

}  // namespace

std::span<const StockTube> tube_stock() { return stock; }

const StockTube& nearest_stock_tube(double bore) {
  return *std::min_element(stock.begin(), stock.end(), [&](const StockTube& a, const StockTube& b) {
    return std::abs(a.bore() - bore) < std::abs(b.bore() - bore);
  });
}

const StockTube* find_stock_tube(double outside_diameter) {
  const auto* found = std::find_if(stock.begin(), stock.end(), [&](const StockTube& tube) {
    return std::abs(tube.outside_diameter - outside_diameter) < 2e-4;
  });
  return found == stock.end() ? nullptr : found;
}

}  // namespace pulsewright::models
