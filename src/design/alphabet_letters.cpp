/// The letters themselves: our own forms, of straight strokes and quarters of ellipses on a grid whose capitals are 20 high and whose
/// small letters 13. A row: the character, its width, how each side looks (straight, round, diagonal, open: the rounder, the
/// closer others may stand), its strokes in the notation of alphabet.hpp. Letters with a mark are put together from both.
#include <algorithm>
#include <array>

#include "alphabet.hpp"

namespace burin {
namespace {

struct Row {
    char32_t letter;
    double width;
    const char* sides;
    const char* strokes;
};

// clang-format off
constexpr Row rows[] = {
    {U'A', 14, "dd", "0,0 7,20 14,0;2.45,7 11.55,7"},
    {U'B', 12, "sr", "0,0 0,20 6,20 h10.5,15.5 v6,11 0,11;6,11 h12,5.5 v6,0 0,0"},
    {U'C', 13, "ro", "13,16 v7,20 h0,13 0,7 v7,0 h13,4"},
    {U'D', 13, "sr", "0,0 0,20 5,20 h13,12 13,8 v5,0 0,0"},
    {U'E', 11, "so", "11,20 0,20 0,0 11,0;0,11 9,11"},
    {U'F', 10.5, "so", "10.5,20 0,20 0,0;0,11 8.5,11"},
    {U'G', 14, "rs", "13,16 v7,20 h0,13 0,7 v7,0 h14,7 14,9 8,9"},
    {U'H', 13, "ss", "0,0 0,20;13,0 13,20;0,11 13,11"},
    {U'I', 0, "ss", "0,0 0,20"},
    {U'J', 8, "os", "8,20 8,5 v3.5,0 h0,4"},
    {U'K', 12, "sd", "0,0 0,20;12,20 0,8;4.5,12.5 12,0"},
    {U'L', 10, "so", "0,20 0,0 10,0"},
    {U'M', 16, "ss", "0,0 0,20 8,6 16,20 16,0"},
    {U'N', 13, "ss", "0,0 0,20 13,0 13,20"},
    {U'O', 15, "rr", "7.5,20 h0,13 0,7 v7.5,0 h15,7 15,13 v7.5,20"},
    {U'P', 12, "sr", "0,0 0,20 6,20 h12,14.5 v6,9 0,9"},
    {U'Q', 15, "rr", "7.5,20 h0,13 0,7 v7.5,0 h15,7 15,13 v7.5,20;9,5 15,-1"},
    {U'R', 12, "sd", "0,0 0,20 6,20 h12,14.5 v6,9 0,9;6,9 12,0"},
    {U'S', 11, "oo", "11,16.5 v5.5,20 h0.5,15.25 v5.5,10.5 h11,5.25 v5.5,0 h0,3.5"},
    {U'T', 12, "dd", "6,0 6,20;0,20 12,20"},
    {U'U', 13, "ss", "0,20 0,6.5 v6.5,0 h13,6.5 13,20"},
    {U'V', 14, "dd", "0,20 7,0 14,20"},
    {U'W', 20, "dd", "0,20 5,0 10,16 15,0 20,20"},
    {U'X', 13, "dd", "0,0 13,20;0,20 13,0"},
    {U'Y', 13, "dd", "0,20 6.5,10 13,20;6.5,10 6.5,0"},
    {U'Z', 12, "oo", "0,20 12,20 0,0 12,0"},
    {U'a', 10, "rs", "10,13 10,0;10,9 v5,13 h0,8 0,5 v5,0 h10,4"},
    {U'b', 10, "sr", "0,20 0,0;0,4 v5,0 h10,5 10,8 v5,13 h0,9"},
    {U'c', 9, "ro", "9,10.5 v5,13 h0,8 0,5 v5,0 h9,2.5"},
    {U'd', 10, "rs", "10,20 10,0;10,9 v5,13 h0,8 0,5 v5,0 h10,4"},
    {U'e', 10, "rr", "0,7 10,7 10,8 v5,13 h0,8 0,5 v5,0 h9.5,3"},
    {U'f', 7, "dd", "7,20 5.5,20 h2.5,16.5 2.5,0;0,13 6.5,13"},
    {U'g', 10, "rs", "10,13 10,-1 v5,-6 h0.5,-3.5;10,9 v5,13 h0,8 0,5 v5,0 h10,4"},
    {U'h', 9.5, "ss", "0,20 0,0;0,8.5 v4.75,13 h9.5,8.5 9.5,0"},
    {U'i', 0, "ss", "0,0 0,13;0,17.4 0,18.2"},
    {U'ı', 0, "ss", "0,0 0,13"},
    {U'j', 4, "ds", "4,13 4,-2.5 v0.5,-6 0,-6;4,17.4 4,18.2"},
    {U'k', 9, "sd", "0,0 0,20;8.5,13 0,5;3.4,8.2 9,0"},
    {U'l', 3, "sd", "0,20 0,2.8 v2.8,0 3,0"},
    {U'm', 16, "ss", "0,13 0,0;0,9 v4,13 h8,9 8,0;8,9 v12,13 h16,9 16,0"},
    {U'n', 9.5, "ss", "0,13 0,0;0,8.5 v4.75,13 h9.5,8.5 9.5,0"},
    {U'o', 10.5, "rr", "5.25,13 h0,8 0,5 v5.25,0 h10.5,5 10.5,8 v5.25,13"},
    {U'p', 10, "sr", "0,13 0,-6;0,4 v5,0 h10,5 10,8 v5,13 h0,9"},
    {U'q', 10, "rs", "10,13 10,-6;10,9 v5,13 h0,8 0,5 v5,0 h10,4"},
    {U'r', 6, "sd", "0,13 0,0;0,8.5 v4.5,13 6,13"},
    {U's', 8, "oo", "8,10.8 v4,13 h0.4,9.9 v4,6.8 h8,3.4 v4,0 h0,2.2"},
    {U't', 6.5, "dd", "2.5,18 2.5,3 v5.2,0 6.5,0;0,13 6.5,13"},
    {U'u', 9.5, "ss", "0,13 0,4.5 v4.75,0 h9.5,4.5;9.5,13 9.5,0"},
    {U'v', 10, "dd", "0,13 5,0 10,13"},
    {U'w', 15, "dd", "0,13 3.75,0 7.5,11 11.25,0 15,13"},
    {U'x', 9.5, "dd", "0,0 9.5,13;0,13 9.5,0"},
    {U'y', 10, "dd", "0,13 5,0;10,13 2.69,-6"},
    {U'z', 9, "oo", "0,13 9,13 0,0 9,0"},
    {U'0', 11, "rr", "5.5,20 h0,14 0,6 v5.5,0 h11,6 11,14 v5.5,20"},
    {U'1', 6, "ss", "0,16 6,20 6,0"},
    {U'2', 11, "oo", "0,15.5 v5.5,20 h11,14.8 11,13.8 0,0 11,0"},
    {U'3', 11, "or", "0.5,17 v5.5,20 h10.5,15.5 v5.5,11 4,11;5.5,11 h11,5.5 v5,0 h0,3.5"},
    {U'4', 11.5, "dd", "8.5,0 8.5,20 0,6 11.5,6"},
    {U'5', 11, "or", "10,20 1,20 0.5,10.5 v5.5,13 h11,6.5 v5.5,0 h0,3"},
    {U'6', 11, "rr", "10,17.5 v5.5,20 h0,12 0,6.5 v5.5,0 h11,6.5 v5.5,13 h0,6.5"},
    {U'7', 11, "dd", "0,20 11,20 4,0"},
    {U'8', 11, "rr", "5.5,20 h0.8,15.5 v5.5,11 h10.2,15.5 v5.5,20;5.5,11 h0,5.5 v5.5,0 h11,5.5 v5.5,11"},
    {U'9', 11, "rr", "1,2.5 v5.5,0 h11,8 11,13.5 v5.5,20 h0,13.5 v5.5,7 h11,13.5"},
    {U'.', 0, "oo", "0,0 0,0.8"},
    {U',', 1, "oo", "1,0.8 0,-3"},
    {U':', 0, "oo", "0,0 0,0.8;0,11 0,11.8"},
    {U';', 1, "oo", "1,0.8 0,-3;1,11 1,11.8"},
    {U'!', 0, "ss", "0,20 0,6;0,0 0,0.8"},
    {U'?', 10, "oo", "0,16 v5,20 h10,15.25 v5,10.5 5,6;5,0 5,0.8"},
    {U'\'', 0, "oo", "0,20 0,15"},
    {U'"', 3, "oo", "0,20 0,15;3,20 3,15"},
    {U'’', 1.2, "oo", "1.2,20 0,15.5"},
    {U'‘', 1.2, "oo", "0,20 1.2,15.5"},
    {U'‚', 1.2, "oo", "1.2,1 0,-3.5"},
    {U'“', 5.2, "oo", "0,20 1.2,15.5;4,20 5.2,15.5"},
    {U'”', 5.2, "oo", "1.2,20 0,15.5;5.2,20 4,15.5"},
    {U'„', 5.2, "oo", "1.2,1 0,-3.5;5.2,1 4,-3.5"},
    {U'-', 6, "oo", "0,8 6,8"},
    {U'–', 10, "oo", "0,8 10,8"},
    {U'—', 18, "oo", "0,8 18,8"},
    {U'(', 4.5, "oo", "4.5,22 h0,15 0,3 v4.5,-4"},
    {U')', 4.5, "oo", "0,22 h4.5,15 4.5,3 v0,-4"},
    {U'[', 4, "so", "4,22 0,22 0,-4 4,-4"},
    {U']', 4, "os", "0,22 4,22 4,-4 0,-4"},
    {U'{', 4.5, "oo", "4.5,22 h2,19 2,12 v0,9 h2,6 2,-1 v4.5,-4"},
    {U'}', 4.5, "oo", "0,22 h2.5,19 2.5,12 v4.5,9 h2.5,6 2.5,-1 v0,-4"},
    {U'/', 9, "dd", "0,-3 9,22"},
    {U'\\', 9, "dd", "0,22 9,-3"},
    {U'&', 14, "oo", "14,0 3.6,13.5 3,16 v6,20 h9,16.5 v6.5,11.5 h0,5 v5.5,0 h13,8"},
    {U'+', 10, "oo", "0,8 10,8;5,3 5,13"},
    {U'=', 10, "oo", "0,10 10,10;0,6 10,6"},
    {U'*', 8, "oo", "4,20 4,12;0.5,18 7.5,14;0.5,14 7.5,18"},
    {U'%', 14, "oo", "0,0 14,20;3,20 h0,17 v3,14 h6,17 v3,20;11,6 h8,3 v11,0 h14,3 v11,6"},
    {U'#', 14, "oo", "3,0 5,20;9,0 11,20;0,7 13,7;1,13 14,13"},
    {U'@', 17, "rr", "11.5,12 v8,15 h4.5,11 4.5,8 v8,4 h11.5,8;11.5,15 11.5,7 v14,4 h17,8 17,11 v8.5,20 h0,11 0,8 v8.5,-1 13.5,-1"},
    {U'_', 12, "oo", "0,-3 12,-3"},
    {U'°', 5, "oo", "2.5,20 h0,17.5 v2.5,15 h5,17.5 v2.5,20"},
    {U'·', 0, "oo", "0,7.6 0,8.4"},
    {U'€', 13, "oo", "13,17 v8,20 h2,13 2,7 v8,0 h13,3;0,11.5 9,11.5;0,8.5 9,8.5"},
    {U'£', 11, "oo", "11,17 v7,20 h3,16 3,3 v0,0 11,0;0,10 8,10"},
    {U'$', 11, "oo", "11,16.5 v5.5,20 h0.5,15.25 v5.5,10.5 h11,5.25 v5.5,0 h0,3.5;5.5,22.5 5.5,-2.5"},
    {U'¢', 9, "ro", "9,10.5 v5,13 h0,8 0,5 v5,0 h9,2.5;5,16 5,-3"},
    {U'¥', 13, "dd", "0,20 6.5,10 13,20;6.5,10 6.5,0;2.5,10 10.5,10;2.5,6 10.5,6"},
    {U'¤', 10, "oo", "5,12 h1,8 v5,4 h9,8 v5,12;0,3 2.2,5.2;10,3 7.8,5.2;0,13 2.2,10.8;10,13 7.8,10.8"},
    {U'§', 8, "oo", "8,17.5 v4,20 h0,16.7 v4,13.4 h8,10 v4,6.6;4,13.4 h0,10 v4,6.6 h8,3.3 v4,0 h0,2.5"},
    {U'¶', 8, "rs", "4.5,20 h0,15.5 v4.5,11;8,-3 8,20 4.5,20 4.5,-3"},
    {U'«', 9, "oo", "4,11 0,7 4,3;9,11 5,7 9,3"},
    {U'»', 9, "oo", "0,11 4,7 0,3;5,11 9,7 5,3"},
    {U'‹', 4, "oo", "4,11 0,7 4,3"},
    {U'›', 4, "oo", "0,11 4,7 0,3"},
    {U'<', 9, "oo", "9,13 0,8 9,3"},
    {U'>', 9, "oo", "0,13 9,8 0,3"},
    {U'|', 0, "ss", "0,22 0,-4"},
    {U'¦', 0, "ss", "0,22 0,11;0,7 0,-4"},
    {U'~', 10, "oo", "0,6.5 v2.5,9 h5,8 v7.5,7 h10,9.5"},
    {U'^', 8, "oo", "0,14 4,20 8,14"},
    {U'`', 2.5, "oo", "0,20 2.5,16"},
    {U'´', 2.5, "oo", "0,16 2.5,20"},
    {U'¨', 5, "oo", "0,18 0,18.8;5,18 5,18.8"},
    {U'¯', 7, "oo", "0,18 7,18"},
    {U'¸', 3, "oo", "1,0 1,-1.5 h3,-3.5 v1,-5.5 0,-5.3"},
    {U'¬', 10, "oo", "0,10 10,10 10,6"},
    {U'±', 10, "oo", "0,9 10,9;5,4.5 5,13.5;0,1 10,1"},
    {U'÷', 10, "oo", "0,8 10,8;5,12 5,12.8;5,3.2 5,4"},
    {U'×', 8, "oo", "0,4 8,12;0,12 8,4"},
    {U'…', 12, "oo", "0,0 0,0.8;6,0 6,0.8;12,0 12,0.8"},
    {U'¡', 0, "ss", "0,-6 0,8;0,12.2 0,13"},
    {U'¿', 10, "oo", "10,-2 v5,-6 h0,-1.25 v5,3.5 5,8;5,12.2 5,13"},
    {U'º', 5, "oo", "2.5,20 h0,16.5 v2.5,13 h5,16.5 v2.5,20;0,10.5 5,10.5"},
    {U'ª', 5, "oo", "5,20 5,13;5,17.5 v2.5,20 h0,16.5 v2.5,13 h5,15.5;0,10.5 5,10.5"},
    {U'¹', 3, "oo", "0,18 3,20 3,11"},
    {U'²', 6, "oo", "0,17.5 v3,20 h6,17.3 6,16.8 0,11 6,11"},
    {U'³', 6, "oo", "0.3,18.6 v3,20 h5.6,17.9 v3,15.8;3,15.8 h6,13.4 v3,11 h0,12.6"},
    {U'µ', 9.5, "ss", "0,13 0,-6;0,4.5 v4.75,0 h9.5,4.5;9.5,13 9.5,0"},
    {U'¼', 15, "oo", "0,18 3,20 3,11;1,0 14,20;13,0 13,9 8.5,3 15,3"},
    {U'½', 15, "oo", "0,18 3,20 3,11;1,0 14,20;9,6.5 v12,9 h15,6.3 15,5.8 9,0 15,0"},
    {U'¾', 16, "oo", "0.3,18.6 v3,20 h5.6,17.9 v3,15.8;3,15.8 h6,13.4 v3,11 h0,12.6;2,0 15,20;14,0 14,9 9.5,3 16,3"},
    {U'©', 18, "rr", "9,19 h0,10 v9,1 h18,10 v9,19;13,12.5 v9.3,15 h5,10.5 5,9.5 v9.3,5 h13,7.5"},
    {U'®', 18, "rr", "9,19 h0,10 v9,1 h18,10 v9,19;6.5,5 6.5,15 9,15 h12.5,12.2 v9,9.5 6.5,9.5;9,9.5 12.5,5"},
    {U'ß', 10, "sr", "0,0 0,15 v4.5,20 h9,16 v5,11.5 h10,5.5 v5,0 3,0"},
    {U'ẞ', 12, "sr", "0,0 0,14 v6,20 11,20 6,12 h12,6 v6,0 4,0"},
    {U'Æ', 19, "do", "0,0 9,20 19,20;9.7,20 9.7,0 19,0;9.7,11 17,11;3.15,7 9.7,7"},
    {U'æ', 18, "rr", "9,9 v4.5,13 h0,8 0,5 v4.5,0 h9,4;9,7 18,7 18,8 v13.5,13 h9,8 9,5 v13.5,0 h17.5,3"},
    {U'Œ', 20, "ro", "20,20 7.5,20 h0,13 0,7 v7.5,0 20,0;11,20 11,0;11,11 18,11"},
    {U'œ', 19, "rr", "5,13 h0,8 0,5 v5,0 h10,5 10,8 v5,13;10,7 19,7 19,8 v14.5,13 h10,8 10,5 v14.5,0 h18.5,3"},
    {U'Ø', 15, "rr", "7.5,20 h0,13 0,7 v7.5,0 h15,7 15,13 v7.5,20;0.5,-1.5 14.5,21.5"},
    {U'ø', 10.5, "rr", "5.25,13 h0,8 0,5 v5.25,0 h10.5,5 10.5,8 v5.25,13;0,-1.5 10.5,14.5"},
    {U'Ð', 15, "dr", "2,0 2,20 7,20 h15,12 15,8 v7,0 2,0;0,10.5 7,10.5"},
    {U'ð', 10, "rr", "10,9 v5,13 h0,8 0,5 v5,0 h10,5 10,10 3,20;3,15.5 9,18.5"},
    {U'Þ', 12, "sr", "0,0 0,20;0,16 6,16 h12,10.5 v6,5 0,5"},
    {U'þ', 10, "sr", "0,20 0,-6;0,4 v5,0 h10,5 10,8 v5,13 h0,9"},
    {U'Ł', 12, "do", "2,20 2,0 12,0;0,8 6,12.5"},
    {U'ł', 4.5, "dd", "2.2,20 2.2,0;0,8.5 4.5,12"},
};

enum class Mark { grave, acute, circumflex, diaeresis, tilde, ring, caron, cedilla };
/// From the middle of the letter, 0 at the foot of the mark.
constexpr std::array<const char*, 8> marks{
    "-2,4 1.5,0.5", "-1.5,0.5 2,4", "-3,0.5 0,4 3,0.5", "-2.6,1.4 -2.6,2.2;2.6,1.4 2.6,2.2",
    "-4,0.8 v-2,3 h0,2 v2,1 h4,3.2", "0,5 h-2,3 v0,1 h2,3 v0,5", "-3,4 0,0.5 3,4", "0,0 0,-1.5 h2.2,-3.5 v0,-5.5 -1.5,-5.2"};

struct Marked {
    char32_t letter, base;
    Mark mark;
};
constexpr Marked marked[] = {
    {U'À', U'A', Mark::grave},
    {U'È', U'E', Mark::grave},
    {U'Ì', U'I', Mark::grave},
    {U'Ò', U'O', Mark::grave},
    {U'Ù', U'U', Mark::grave},
    {U'à', U'a', Mark::grave},
    {U'è', U'e', Mark::grave},
    {U'ì', U'ı', Mark::grave},
    {U'ò', U'o', Mark::grave},
    {U'ù', U'u', Mark::grave},
    {U'Á', U'A', Mark::acute},
    {U'É', U'E', Mark::acute},
    {U'Í', U'I', Mark::acute},
    {U'Ó', U'O', Mark::acute},
    {U'Ú', U'U', Mark::acute},
    {U'Ý', U'Y', Mark::acute},
    {U'á', U'a', Mark::acute},
    {U'é', U'e', Mark::acute},
    {U'í', U'ı', Mark::acute},
    {U'ó', U'o', Mark::acute},
    {U'ú', U'u', Mark::acute},
    {U'ý', U'y', Mark::acute},
    {U'Ć', U'C', Mark::acute},
    {U'ć', U'c', Mark::acute},
    {U'Ń', U'N', Mark::acute},
    {U'ń', U'n', Mark::acute},
    {U'Ś', U'S', Mark::acute},
    {U'ś', U's', Mark::acute},
    {U'Ź', U'Z', Mark::acute},
    {U'ź', U'z', Mark::acute},
    {U'Â', U'A', Mark::circumflex},
    {U'Ê', U'E', Mark::circumflex},
    {U'Î', U'I', Mark::circumflex},
    {U'Ô', U'O', Mark::circumflex},
    {U'Û', U'U', Mark::circumflex},
    {U'â', U'a', Mark::circumflex},
    {U'ê', U'e', Mark::circumflex},
    {U'î', U'ı', Mark::circumflex},
    {U'ô', U'o', Mark::circumflex},
    {U'û', U'u', Mark::circumflex},
    {U'Ä', U'A', Mark::diaeresis},
    {U'Ë', U'E', Mark::diaeresis},
    {U'Ï', U'I', Mark::diaeresis},
    {U'Ö', U'O', Mark::diaeresis},
    {U'Ü', U'U', Mark::diaeresis},
    {U'ä', U'a', Mark::diaeresis},
    {U'ë', U'e', Mark::diaeresis},
    {U'ï', U'ı', Mark::diaeresis},
    {U'ö', U'o', Mark::diaeresis},
    {U'ü', U'u', Mark::diaeresis},
    {U'ÿ', U'y', Mark::diaeresis},
    {U'Ÿ', U'Y', Mark::diaeresis},
    {U'Ã', U'A', Mark::tilde},
    {U'Ñ', U'N', Mark::tilde},
    {U'Õ', U'O', Mark::tilde},
    {U'ã', U'a', Mark::tilde},
    {U'ñ', U'n', Mark::tilde},
    {U'õ', U'o', Mark::tilde},
    {U'Å', U'A', Mark::ring},
    {U'å', U'a', Mark::ring},
    {U'Ů', U'U', Mark::ring},
    {U'ů', U'u', Mark::ring},
    {U'Š', U'S', Mark::caron},
    {U'š', U's', Mark::caron},
    {U'Ž', U'Z', Mark::caron},
    {U'ž', U'z', Mark::caron},
    {U'Č', U'C', Mark::caron},
    {U'č', U'c', Mark::caron},
    {U'Ě', U'E', Mark::caron},
    {U'ě', U'e', Mark::caron},
    {U'Ř', U'R', Mark::caron},
    {U'ř', U'r', Mark::caron},
    {U'Ç', U'C', Mark::cedilla},
    {U'ç', U'c', Mark::cedilla},
};
// clang-format on

/// No two sides together are narrower than the nominal pen (2) and a gap.
double side(char kind) { return kind == 's' ? 2.7 : kind == 'r' ? 2.0 : kind == 'o' ? 1.7 : 1.6; }

const Row* row_of(char32_t c) {
    const auto* found = std::find_if(std::begin(rows), std::end(rows), [&](const Row& row) { return row.letter == c; });
    return found == std::end(rows) ? nullptr : found;
}

LineLetter of_row(const Row& row) { return {row.width, side(row.sides[0]), side(row.sides[1]), row.strokes, {}, {}}; }

}  // namespace

std::optional<LineLetter> line_letter(char32_t c) {
    if (c == U' ' || c == U'\u00a0') return LineLetter{7, 0, 0, {}, {}, {}};
    if (const Row* row = row_of(c)) return of_row(*row);
    const auto* found = std::find_if(std::begin(marked), std::end(marked), [&](const Marked& one) { return one.letter == c; });
    if (found == std::end(marked)) return {};
    LineLetter letter = of_row(*row_of(found->base));
    const bool capital = found->base < U'a';
    const double foot = found->mark == Mark::cedilla ? 0 : capital ? 21.5 : 14.5;
    letter.mark = marks[static_cast<std::size_t>(found->mark)];
    letter.mark_at = {letter.width / 2, foot};
    // A mark that is wider than its letter needs its own room.
    const double more = std::max(0.0, 3.4 - letter.width / 2 - 0.5 * letter.left);
    letter.left += more;
    letter.right += more;
    return letter;
}

double line_kerning(char32_t first, char32_t second) {
    const auto among = [](char32_t c, std::u32string_view all) { return all.find(c) != std::u32string_view::npos; };
    if (among(first, U"TVWYFP") && among(second, U".,aeocdgqsu")) return 2.8;
    if (among(first, U"AL") && among(second, U"TVWY")) return 3.4;
    if (among(first, U"TVWY") && among(second, U"A")) return 3.4;
    if (among(first, U"rvwy") && among(second, U".,")) return 2.2;
    return 0;
}

}  // namespace burin
