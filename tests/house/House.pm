# What the house's checks share: finding and reading files, blanking comments and strings, and
# reporting. Only modules of perl-base, which every Debian has.
package House;
use strict;
use warnings;
use Exporter 'import';
our @EXPORT = qw(files_below read_file without_comments without_strings complain finish);

my $complaints = 0;

# Names of all files below a folder, relative to it and sorted; nothing that starts with a dot, no
# build folders and no reports: these are made, not written.
sub files_below {
  my ($root, $below) = @_;
  my $folder = defined $below ? "$root/$below" : $root;
  opendir(my $handle, $folder) or return ();
  my @found;
  for my $name (sort readdir $handle) {
    my $relative = defined $below ? "$below/$name" : $name;
    next if $name =~ /^\./ || (!defined $below && $name =~ /^(build.*|reports)$/);
    push @found, -d "$root/$relative" ? files_below($root, $relative) : $relative;
  }
  closedir $handle;
  return @found;
}

sub read_file {
  my ($path) = @_;
  open(my $handle, '<', $path) or die "$0: $path: $!\n";
  local $/;
  my $text = <$handle>;
  close $handle;
  return defined $text ? $text : '';
}

sub blank { my ($text) = @_; $text =~ s/[^\n]/ /g; return $text; }

my $comment = qr{/\*.*?\*/|//[^\n]*}s;
my $string = qr{"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'}s;

# C source with its comments blanked; lines and columns stay where they were.
sub without_comments {
  my ($text) = @_;
  $text =~ s/($string)|($comment)/defined $1 ? $1 : blank($2)/ge;
  return $text;
}

# The same with strings and character constants blanked as well.
sub without_strings {
  my ($text) = @_;
  $text =~ s/($string)|($comment)/blank($&)/ge;
  return $text;
}

sub complain {
  my ($where, $what) = @_;
  print "$where: $what\n";
  $complaints++;
}

# Ends the check: status 1 when anything was complained of, or when nothing was looked at.
sub finish {
  my ($checked, $what) = @_;
  if ($checked == 0) {
    print "no $what found: this check looked at nothing\n";
    exit 1;
  }
  print "$checked $what checked, $complaints complaints\n";
  exit($complaints > 0);
}

1;
